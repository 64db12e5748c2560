import { useEffect, useRef, useState } from 'preact/hooks';
import {
  type CorrectedStart,
  correctStarts,
  offsetSeconds,
  zoneMinutes,
} from '../../../decoders/audio/correct-starts.ts';
import type { RecordingStart } from '../../../decoders/audio/start-time.ts';
import { bytesText, countText } from '../../words/number.ts';
import { utcText } from '../../words/time.ts';

/** A file that waits to be sent, with what it says of its start: undefined while that is looked for. */
export interface HeldFile {
  readonly file: File;
  readonly start: RecordingStart | null | undefined;
}

export interface FileToSend {
  readonly file: File;
  readonly start: CorrectedStart;
}

function startWords({ start, corrected }: CorrectedStart): string {
  if (start === null) return 'no start found; the server looks inside, or asks';
  const by = corrected ? 'you' : start.source;
  return `${utcText(Date.parse(start.iso))}, said by ${by === 'file name' ? 'the file’s name' : by}${
    start.zoneStated ? '' : ' – no zone stated, taken as UTC'
  }`;
}

/** Several recordings before they are sent: when each began and who says it, corrected for all at once. */
export function HeldFiles({
  held,
  firstStartMs,
  inView,
  onSend,
  onForget,
}: {
  readonly held: readonly HeldFile[];
  readonly firstStartMs: number | null;
  /** They are brought into view, since nothing else is missing. */
  readonly inView: boolean;
  readonly onSend: (files: readonly FileToSend[]) => void;
  readonly onForget: () => void;
}) {
  const [zone, setZone] = useState('');
  const [offset, setOffset] = useState('');
  const place = useRef<HTMLElement>(null);
  useEffect(() => {
    if (inView) place.current?.scrollIntoView({ block: 'nearest' });
  }, []);
  const zoneWrong = zone.trim() !== '' && zoneMinutes(zone.trim()) === null;
  const offsetWrong = offset.trim() !== '' && offsetSeconds(offset.trim()) === null;
  const looking = held.some(({ start }) => start === undefined);
  const starts = correctStarts(
    held.map(({ start }) => start ?? null),
    {
      firstStart: firstStartMs === null ? null : new Date(firstStartMs).toISOString(),
      zoneMinutes: zoneMinutes(zone.trim()),
      offsetSeconds: offsetSeconds(offset.trim()) ?? 0,
    },
  );
  return (
    <section class="held stack" aria-label="Files to send" ref={place}>
      <p role="status">
        {countText(held.length, 'file')} {held.length === 1 ? 'waits' : 'wait'} here to be sent
        {looking ? '; looking when recording began …' : '.'}
      </p>
      <ol class="held-list">
        {held.map(({ file, start }, i) => (
          <li key={`${i} ${file.name}`}>
            <span class="name">{file.name}</span> <span class="faint">{bytesText(file.size)}</span>
            <span class="words">{start === undefined ? 'looking …' : startWords(starts[i])}</span>
          </li>
        ))}
      </ol>
      <div class="drop-fields">
        <label>
          <span>Time zone, where none is stated</span>
          <input
            size={8}
            maxLength={10}
            autocomplete="off"
            placeholder="+02:00"
            value={zone}
            aria-invalid={zoneWrong}
            onInput={(event) => setZone(event.currentTarget.value)}
          />
          {zoneWrong && <span class="small wrong">For instance Z, +02:00 or -0500.</span>}
        </label>
        <label>
          <span>Add to all times</span>
          <input
            size={8}
            maxLength={16}
            autocomplete="off"
            placeholder="-90 s"
            value={offset}
            aria-invalid={offsetWrong}
            onInput={(event) => setOffset(event.currentTarget.value)}
          />
          {offsetWrong && <span class="small wrong">For instance 90, -1.5, +2h or -30min.</span>}
        </label>
      </div>
      <p class="row">
        <button
          type="button"
          class="primary"
          disabled={looking || zoneWrong || offsetWrong}
          onClick={() => onSend(held.map(({ file }, i) => ({ file, start: starts[i] })))}
        >
          Send
        </button>
        <button type="button" onClick={onForget}>
          Forget
        </button>
      </p>
    </section>
  );
}
