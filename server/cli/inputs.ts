import { closeSync, openSync, readSync } from 'node:fs';
import { stat } from 'node:fs/promises';
import { CommandError } from './exit.ts';
import type { Io } from './io.ts';

/** An input that can be read once, from start to end. */
export interface Input {
  /** As the user named it; `-` for standard input. */
  readonly name: string;
  /** Null when it cannot be known beforehand. */
  readonly bytes: number | null;
  open(): AsyncIterable<Uint8Array>;
}

/** Read at once: enough that a call's cost is lost in it, not so much that memory shows it. */
const PIECE_BYTES = 2 ** 18;

/**
 * Finds an input: a file, or standard input.
 *
 * @throws CommandError naming the file and what hinders.
 */
export async function findInput(name: string, io: Io): Promise<Input> {
  return name === '-' ? { name, bytes: null, open: () => io.stdin } : findFile(name);
}

/** @throws CommandError naming the file and what hinders. */
export async function findFile(name: string): Promise<Input> {
  const found = await stat(name).catch((error: unknown) => {
    throw new CommandError('unreadable-file', `${name}: ${reasonOf(error)}`);
  });
  if (found.isDirectory()) {
    throw new CommandError('unreadable-file', `${name}: this is a folder; name the files in it`);
  }
  return { name, bytes: found.isFile() ? found.size : null, open: () => piecesOfFile(name) };
}

/**
 * Bytes of an input, piece by piece. A piece holds until the next one is asked for.
 *
 * @throws CommandError naming the file and what hinders.
 */
export async function* pieces(input: Input): AsyncGenerator<Uint8Array> {
  try {
    for await (const piece of input.open()) yield piece;
  } catch (error) {
    throw isSystemError(error) ? new CommandError('unreadable-file', `${input.name}: ${reasonOf(error)}`) : error;
  }
}

/** Pieces that can be looked at before they are read. */
export interface Peeked {
  readonly first: Uint8Array;
  /** All pieces, the first bytes included. */
  readonly pieces: AsyncGenerator<Uint8Array>;
}

/** The pieces with their first `bytes` bytes, or as many as there are. */
export async function peek(pieces: AsyncGenerator<Uint8Array>, bytes: number): Promise<Peeked> {
  const held: Uint8Array[] = [];
  let length = 0;
  while (length < bytes) {
    const { done, value } = await pieces.next();
    if (done) break;
    held.push(value.slice());
    length += value.length;
  }
  const first = Buffer.concat(held);
  return { first: first.subarray(0, bytes), pieces: withFirst(first, pieces) };
}

async function* withFirst(first: Uint8Array, rest: AsyncGenerator<Uint8Array>): AsyncGenerator<Uint8Array> {
  if (first.length > 0) yield first;
  yield* rest;
}

/**
 * One buffer for all pieces: a new one for each would cost more time than the reading. Read at once, as nothing else goes on
 * meanwhile: handing each piece over from another thread costs more than waiting for it.
 */
async function* piecesOfFile(name: string): AsyncGenerator<Uint8Array> {
  const file = openSync(name, 'r');
  try {
    const piece = new Uint8Array(PIECE_BYTES);
    for (;;) {
      const bytesRead = readSync(file, piece);
      if (bytesRead === 0) return;
      yield piece.subarray(0, bytesRead);
    }
  } finally {
    closeSync(file);
  }
}

/** Text files larger than this are refused: nobody typed them. */
const maxTextBytes = 16 * 2 ** 20;

/**
 * A whole text file.
 *
 * @throws CommandError when it cannot be read, is no UTF-8, or is larger than any text that a person writes.
 */
export async function readText(name: string, io: Io): Promise<string> {
  const collected: Uint8Array[] = [];
  let bytes = 0;
  for await (const piece of pieces(await findInput(name, io))) {
    bytes += piece.byteLength;
    if (bytes > maxTextBytes) {
      throw new CommandError('too-large', `${name}: larger than ${maxTextBytes / 2 ** 20} MB, so this is no text file`);
    }
    collected.push(piece.slice());
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(Buffer.concat(collected));
  } catch {
    throw new CommandError('not-text', `${name}: this is no UTF-8 text`);
  }
}

/** Why the system refused a file, in words. */
export function reasonOf(error: unknown): string {
  const code = isSystemError(error) ? error.code : undefined;
  switch (code) {
    case 'ENOENT':
      return 'there is no such file';
    case 'ENOTDIR':
      return 'a part of this path is a file, not a folder';
    case 'EACCES':
    case 'EPERM':
      return 'permission denied';
    case 'EISDIR':
      return 'this is a folder';
    case 'ENOSPC':
      return 'the disk is full';
    default:
      return error instanceof Error ? error.message : String(error);
  }
}

export function isSystemError(error: unknown): error is NodeJS.ErrnoException {
  return error instanceof Error && typeof (error as NodeJS.ErrnoException).code === 'string';
}
