import { register } from 'node:module';
import { pathToFileURL } from 'node:url';

register('./typescript-hooks.mjs', import.meta.url);
const { run } = await import(pathToFileURL(process.argv[2]).href);
await run();
