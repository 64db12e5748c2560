import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { root, run, toolScript } from './child.mjs';

const folder = join(root, 'decoders', 'signal', 'kernel');
const sources = join(folder, 'assembly');
const product = join(folder, 'simd-module.ts');
const flags = ['--runtime', 'stub', '--memoryBase', '0', '--importMemory', '--enable', 'simd', '--noAssert'];
const optimization = ['--optimize', '--converge'];

const PER_LINE = 30;

/**
 * Brings the vector kernel in line with its sources: decoders/signal/kernel/assembly is compiled to WebAssembly, and that
 * is written as a module of plain numbers, which every platform loads at once and without a fetch. Both stand in the
 * repository, so that nobody needs the compiler who does not change the sources.
 */
export async function bringKernel() {
  if (!isKernelCurrent()) writeFileSync(product, `${mark()}\n${moduleText(await compileKernel())}`);
}

/** Whether the module was made of the sources as they are. */
export function isKernelCurrent() {
  return readFileSync(product, { encoding: 'utf8', flag: 'a+' }).startsWith(mark());
}

/** @returns {Promise<Uint8Array>} what the sources make. */
export async function compileKernel() {
  const scratch = mkdtempSync(join(tmpdir(), 'fiveunit-kernel-'));
  try {
    const out = join(scratch, 'kernel.wasm');
    const compiler = toolScript('assemblyscript', 'asc');
    const args = [compiler, join(sources, 'index.ts'), '--outFile', out, ...flags, ...optimization];
    if ((await run(process.execPath, args, { stdio: ['ignore', process.stderr.fd, 'inherit'] })) !== 0) {
      throw new Error('compiling the kernel failed; the messages above say where');
    }
    return readFileSync(out);
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
}

/** First line of the module. */
function mark() {
  return `// Made by \`npm run build\` from assembly/ (SHA-256 ${fingerprint()}).`;
}

/** Of the sources, and of how they are compiled. Line ends do not count: a checkout may change them. */
function fingerprint() {
  const hash = createHash('sha256').update([...flags, ...optimization].join(' '));
  for (const file of readdirSync(sources).sort()) {
    hash.update(`\0${file}\0`).update(readFileSync(join(sources, file), 'utf8').replaceAll('\r\n', '\n'));
  }
  return hash.digest('hex');
}

/** @param {Uint8Array} bytes */
function moduleText(bytes) {
  const lines = Array.from({ length: Math.ceil(bytes.length / PER_LINE) }, (_, i) =>
    bytes.subarray(i * PER_LINE, (i + 1) * PER_LINE).join(','),
  );
  return `export const SIMD_MODULE = Uint8Array.of(\n${lines.join(',\n')},\n);\n`;
}

if (process.argv[1] === fileURLToPath(import.meta.url)) await bringKernel();
