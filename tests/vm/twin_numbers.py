"""The numbers that a module of native loops repeats, as viper folds only those of its own module. Runs on the VM."""


def wrong(path, owner, others=None):
    """The names of a file's constants whose number is not that of the same name in `owner`, a module. others: {name of
    a constant: another module that has it}."""
    found = []
    with open(path) as file:
        lines = file.read().split("\n")
    for line in lines:
        if line.startswith("_") and "= const(" in line:
            name, value = line.split(" = const(")
            if getattr((others or {}).get(name, owner), name[1:]) != eval(value.strip()[:-1]):
                found.append(name)
    return found
