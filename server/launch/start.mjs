import { enterCommandLine } from './enter.mjs';

// `npm start`: from a fresh clone to the running server with the demo. `npm start -- --port 9000` hands options on.
await enterCommandLine(['serve', '--demo', ...process.argv.slice(2)], { targets: ['server', 'web'] });
