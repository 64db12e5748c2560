import { enterCommandLine } from './enter.mjs';

// `npm run -s fiveunit -- COMMAND ...`: the command line of this checkout.
await enterCommandLine(process.argv.slice(2), { targets: ['server'], quiet: true });
