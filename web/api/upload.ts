import type { CutOutFields, CutOutReading, RecordingAccepted, RecordingFields } from '../../server/http/messages.ts';
import { noServer } from '../site/answers.ts';
import { site } from '../site/site.ts';
import { type ApiProblem, problemOf, unreachable } from './problem.ts';

export interface Upload {
  readonly done: Promise<RecordingAccepted>;
  cancel(): void;
}

/**
 * Sends a recording. `fetch` cannot tell how far a body has gone, `XMLHttpRequest` can.
 * @param onProgress share of the bytes sent, 0 to 1
 */
export function uploadRecording(file: File, fields: RecordingFields, onProgress: (share: number) => void): Upload {
  return post('/api/recordings', file, fields, onProgress);
}

/** Sends bursts that were cut out of a recording, with what was read in them; as `uploadRecording`. */
export function uploadCutOut(
  flac: File,
  fields: CutOutFields,
  reading: CutOutReading,
  onProgress: (share: number) => void,
): Upload {
  return post('/api/bursts', flac, { ...fields, reading: JSON.stringify(reading) }, onProgress);
}

function post(path: string, file: File, fields: object, onProgress: (share: number) => void): Upload {
  if (site !== null) return { done: Promise.reject(noServer()), cancel: () => {} };
  const form = new FormData();
  // fields first: the server knows what it is getting before the bytes come
  for (const [name, value] of Object.entries(fields)) if (value !== undefined) form.append(name, String(value));
  form.append('file', file, file.name);
  const xhr = new XMLHttpRequest();
  const done = new Promise<RecordingAccepted>((resolve, reject: (problem: ApiProblem) => void) => {
    xhr.open('POST', path);
    xhr.setRequestHeader('accept', 'application/json');
    xhr.upload.onprogress = (event) => {
      if (event.lengthComputable) onProgress(event.loaded / event.total);
    };
    xhr.onerror = () => reject(unreachable());
    xhr.onabort = () => reject(unreachable());
    xhr.onload = () => {
      if (xhr.status < 200 || xhr.status >= 300) return reject(problemOf(xhr.status, xhr.responseText));
      try {
        // checked by the server against the schema this type comes from
        resolve(JSON.parse(xhr.responseText) as RecordingAccepted);
      } catch {
        reject(problemOf(502, xhr.responseText));
      }
    };
    xhr.send(form);
  });
  return { done, cancel: () => xhr.abort() };
}
