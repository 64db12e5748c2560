import type { FastifyRequest } from 'fastify';
import type { Limits } from '../limits.ts';
import { Refusal } from '../refusal.ts';
import type { IncomingFile, RecordingFiles } from '../store/files.ts';
import { wrongMediaType } from './problems.ts';

/** A form with one file, which is on the disk by now. */
export interface Upload {
  readonly file: IncomingFile;
  /** As the sender named it: data, never a path. */
  readonly fileName: string | null;
  readonly fields: Readonly<Record<string, string>>;
}

const FILE_NAME_CHARACTERS_MAX = 255;
const FIELD_CHARACTERS_MAX = 200;
/** What a form adds to the file in it. */
const FORM_BYTES = 64 * 1024;

/** What else a form may hold than a recording with a few words. */
export interface UploadOptions {
  /** Bytes of the file at most. */
  readonly fileBytes: number;
  /** The one field that may be longer than a few words. */
  readonly longField?: { readonly name: string; readonly characters: number };
}

/** Receives a form as a stream, at constant memory. Leaves nothing behind when it fails. */
export async function receiveUpload(
  request: FastifyRequest,
  files: RecordingFiles,
  limits: Limits,
  { fileBytes, longField }: UploadOptions = { fileBytes: limits.recordingBytes },
): Promise<Upload> {
  if (!request.isMultipart()) throw wrongMediaType();
  const announced = Number(request.headers['content-length'] ?? 0);
  const longest = longField?.characters ?? 0;
  if (announced > fileBytes + longest + FORM_BYTES) throw tooLarge(fileBytes);
  if ((await files.freeBytes()) < limits.freeBytesKept + announced) {
    throw noRoom(limits);
  }
  const fields: Record<string, string> = {};
  let file: IncomingFile | null = null;
  let fileName: string | null = null;
  try {
    const parts = request.parts({
      limits: {
        files: 1,
        fields: 20,
        parts: 21,
        fieldNameSize: 100,
        fieldSize: Math.max(4000, longest + 1),
        fileSize: fileBytes,
      },
    });
    for await (const part of parts) {
      if (part.type === 'field') {
        const most = part.fieldname === longField?.name ? longField.characters : FIELD_CHARACTERS_MAX;
        fields[part.fieldname] = fieldText(part.fieldname, part.value, most);
        continue;
      }
      file = await files.receive(part.file);
      if (part.file.truncated) throw tooLarge(fileBytes);
      if (part.fieldname !== 'file') throw malformed(`the file must be the part named "file", not "${part.fieldname}"`);
      fileName = part.filename.slice(0, FILE_NAME_CHARACTERS_MAX) || null;
    }
  } catch (error) {
    if (file !== null) await files.discard(file);
    throw uploadError(error, limits);
  }
  if (file === null) throw malformed('a part named "file" with the recording is missing');
  return { file, fileName, fields };
}

function fieldText(name: string, value: unknown, most: number): string {
  if (typeof value === 'string' && value.length <= most) return value;
  throw malformed(`the part "${name}" must be text of at most ${most} characters`);
}

/** Only the disk is the server's own fault; a sender that breaks off hears no answer anyway. */
function uploadError(error: unknown, limits: Limits): unknown {
  if (error instanceof Refusal) return error;
  if (!(error instanceof Error)) return malformed('it ends too early');
  if ('code' in error && (error.code === 'ENOSPC' || error.code === 'EDQUOT')) return noRoom(limits);
  const onDisk = 'syscall' in error && ['open', 'write', 'fsync', 'close'].includes(String(error.syscall));
  return onDisk ? error : malformed(error.message);
}

function noRoom({ freeBytesKept }: Limits): Refusal {
  return new Refusal(
    'storage-full',
    'the disk of the server has no room for it: tell the team, and keep the recording',
    {
      limit: freeBytesKept,
    },
  );
}

function tooLarge(fileBytes: number): Refusal {
  return new Refusal(
    'recording-too-large',
    `the file may have at most ${fileBytes} bytes: cut it into shorter ones, or send it as FLAC`,
    { limit: fileBytes, at: 'body/file' },
  );
}

function malformed(reason: string): Refusal {
  return new Refusal('multipart-malformed', `the form data cannot be read: ${reason}`, { at: 'body' });
}
