import process from 'node:process';
import { serve } from '../../../dist/server/serve.js';

// A server of its own process, as it is built: `node server-process.mjs DATA`. Says where it is on its first line.
const server = await serve({ host: '127.0.0.1', port: 0, dataDir: process.argv[2], demo: false, open: false });
process.stdout.write(`${JSON.stringify({ url: server.url, teamKeyPath: server.teamKeyPath })}\n`);
process.on('SIGTERM', () => server.close());
