// Starts the 32-bit MicroPython VM on a compiled tree: node wasm.mjs MODULE TREE SCRIPT [ARG ...]
// Folders and files among the arguments come along, under the same name. The last line is the heap in use: this VM
// collects only between calls from here, so a script cannot measure that itself. A SCRIPT.json is a list of pieces of
// Python, run one after the other, with such a line after each.
import fs from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const [module, tree, script, ...args] = process.argv.slice(2);
const { loadMicroPython } = await import(pathToFileURL(module));
const vm = await loadMicroPython({ stdout: (line) => console.log(line), linebuffer: true });

function copy(from, to) {
    if (!fs.statSync(from).isDirectory()) {
        vm.FS.mkdirTree(path.dirname(to));
        vm.FS.writeFile(to, fs.readFileSync(from));
        return;
    }
    vm.FS.mkdirTree(to);
    for (const name of fs.readdirSync(from)) copy(path.join(from, name), to + '/' + name);
}
copy(tree, '/tree');
for (const arg of args) if (fs.existsSync(arg)) copy(arg, arg);
try {
    vm.runPython(`
import sys, os
os.chdir('/tree')
sys.path.insert(0, '/tree')
sys.argv[:] = ${JSON.stringify([script, ...args])}
`);
    const text = fs.readFileSync(script, 'utf8');
    for (const piece of script.endsWith('.json') ? JSON.parse(text) : [text]) {
        vm.runPython(piece);
        vm.runPython('import gc\ngc.collect()');
        vm.runPython('gc.collect()');
        vm.runPython('print("heap", gc.mem_alloc())');
    }
} catch (error) {
    console.error(String(error));
    process.exit(1);
}
