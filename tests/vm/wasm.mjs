// Starts the 32-bit MicroPython VM on a copy of the checkout: node wasm.mjs MODULE ROOT SCRIPT [ARG ...]
import fs from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const [module, root, script, ...args] = process.argv.slice(2);
const { loadMicroPython } = await import(pathToFileURL(module));
const vm = await loadMicroPython({ stdout: (line) => console.log(line), linebuffer: true });

function copy(from, to) {
    vm.FS.mkdirTree(to);
    for (const entry of fs.readdirSync(from, { withFileTypes: true })) {
        const [a, b] = [path.join(from, entry.name), to + '/' + entry.name];
        if (entry.isDirectory()) copy(a, b);
        else if (!entry.name.endsWith('.pyc')) vm.FS.writeFile(b, fs.readFileSync(a));
    }
}
for (const part of ['firmware', 'hal', 'sim', 'boards', 'tests/vm']) {
    if (fs.existsSync(path.join(root, part))) copy(path.join(root, part), '/work/' + part);
}
// A folder among the arguments comes along, under the same name.
for (const arg of args) {
    if (fs.existsSync(arg) && fs.statSync(arg).isDirectory()) copy(arg, arg);
    else if (fs.existsSync(arg)) { vm.FS.mkdirTree(path.dirname(arg)); vm.FS.writeFile(arg, fs.readFileSync(arg)); }
}
try {
    vm.runPython(`
import sys, os
os.chdir('/work')
sys.path.insert(0, '/work')
sys.argv[:] = ${JSON.stringify([script, ...args])}
`);
    vm.runPython(fs.readFileSync(path.resolve(root, script), 'utf8'));
} catch (error) {
    console.error(String(error));
    process.exit(1);
}
