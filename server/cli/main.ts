#!/usr/bin/env node
import { processIo } from './io.ts';
import { runCommandLine } from './program.ts';

process.exitCode = await runCommandLine(process.argv.slice(2), processIo());
// A terminal or pipe that nobody reads from any more must not keep the process.
process.stdin.unref?.();
