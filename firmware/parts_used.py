"""Which modules of a part that closes are in use by parts that were opened after it. Loaded by parts.py for that call.

What a module takes from another by `from x import f` it has under the same name; a module it may have under any.
"""


def used(modules, closing, later):
    """Names of those in `closing` that a module of `later` knows, or a function or class of theirs: list of str.
    modules: {name: module} of all that are loaded. Where two that close have the same function, both are in use."""
    return [name for name in closing if any(_knows(modules, other, name, closing, later) for other in later)]


def _knows(modules, other, name, closing, later):
    asked = modules[name]
    for key, value in modules[other].__dict__.items():
        if value is asked:
            return True
        if callable(value) and getattr(asked, key, None) is value:
            stays = [module for third, module in modules.items() if third not in closing and third not in later]
            if not any(getattr(module, key, None) is value for module in stays):
                return True
    return False
