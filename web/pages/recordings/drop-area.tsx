import { useRef, useState } from 'preact/hooks';
import type { CorrectedStart } from '../../../decoders/audio/correct-starts.ts';
import { SENDER } from '../../../decoders/audio/start-time.ts';
import type { RecordingFields } from '../../../server/http/messages.ts';
import { getSettings } from '../../api/endpoints.ts';
import { useResource } from '../../api/use-resource.ts';
import { readCallSign } from '../../shell/call-sign.ts';
import { CallSignInput } from '../../shell/call-sign-input.tsx';
import { keep, recall } from '../../shell/kept.ts';
import { mission, missions, phase } from '../../shell/missions.ts';
import { UtcInput } from '../../shell/utc-input.tsx';
import { bytesText } from '../../words/number.ts';
import { BandFields, bandFields, NOTHING_SAID } from './band-fields.tsx';
import { fileStart } from './file-start.ts';
import { hand } from './hand.ts';
import { type FileToSend, type HeldFile, HeldFiles } from './held-files.tsx';
import { joinPairs, loneText } from './sigmf-pairs.ts';

const ANY = 'any';

/** Takes recordings: dropped or chosen, with the call sign of who heard them. Files wait here until all is said. */
export function DropArea() {
  const [station, setStation] = useState(recall('call-sign') ?? '');
  const [chosenMission, setMission] = useState(mission.peek()?.id ?? ANY);
  const [startMs, setStart] = useState<number | null>(null);
  const [held, setHeld] = useState<readonly HeldFile[]>([]);
  const [lone, setLone] = useState<readonly File[]>([]);
  const [skips, setSkips] = useState(false);
  const [band, setBand] = useState(NOTHING_SAID);
  const [burstsOnly, setBurstsOnly] = useState(false);
  const [over, setOver] = useState(false);
  const [asked, setAsked] = useState(false);
  const form = useRef<HTMLFormElement>(null);
  const picker = useRef<HTMLInputElement>(null);
  const callSign = readCallSign(station);
  const settings = useResource('settings', getSettings).value;

  const askStation = (): void => {
    setAsked(true);
    const field = form.current?.elements.namedItem('station');
    if (field instanceof HTMLElement) field.focus();
  };

  const begin = (all: readonly FileToSend[]): void => {
    if (callSign === null) {
      askStation();
      return;
    }
    keep('call-sign', callSign);
    for (const { file, start } of all) {
      const fields: RecordingFields = {
        mission: chosenMission,
        station: callSign,
        phase: phase.peek(),
        ...(skips ? { timeBase: 'gaps' } : {}),
        ...bandFields(band),
        ...statedStart(start),
      };
      void hand(file, fields, { burstsOnly });
    }
    setHeld([]);
    setAsked(false);
    setStart(null);
  };

  /** One file goes at once; several are shown with their times first. */
  const take = (given: readonly File[]): void => {
    const { files: more, lone: halves } = joinPairs([...lone, ...given]);
    setLone(halves);
    const all: HeldFile[] = [...held, ...more.map((file) => ({ file, start: undefined }))];
    if (all.length === 0) return;
    if (all.length === 1 && callSign !== null) {
      const iso = startMs === null ? null : new Date(startMs).toISOString();
      const start = iso === null ? null : { iso, source: SENDER, uncertaintySeconds: null, zoneStated: true };
      begin([{ file: all[0].file, start: { start, corrected: start !== null } }]);
      return;
    }
    if (callSign === null) askStation();
    setHeld(all);
    for (const file of more) {
      const say = (start: HeldFile['start']): void =>
        setHeld((now) => now.map((one) => (one.file === file ? { file, start } : one)));
      fileStart(file).then(say, () => say(null));
    }
  };

  return (
    <form class="drop-form" ref={form} noValidate onSubmit={(event) => event.preventDefault()}>
      {/* biome-ignore lint/a11y/noStaticElementInteractions: dropping is a convenience beside the button within */}
      <div
        class={over ? 'drop over' : 'drop'}
        onDragOver={(event) => {
          event.preventDefault();
          setOver(true);
        }}
        onDragLeave={() => setOver(false)}
        onDrop={(event) => {
          event.preventDefault();
          setOver(false);
          take([...(event.dataTransfer?.files ?? [])]);
        }}
      >
        <p>
          <strong>Choose or drop recordings.</strong> Bursts are looked for at every speed and pitch.
        </p>
        <button type="button" class="primary" onClick={() => picker.current?.click()}>
          Choose files
        </button>
        <input
          ref={picker}
          class="only-heard"
          type="file"
          multiple
          tabIndex={-1}
          aria-label="Recordings"
          accept="audio/*,video/*,.wav,.sigmf,.sigmf-meta,.sigmf-data"
          onChange={(event) => {
            take([...(event.currentTarget.files ?? [])]);
            event.currentTarget.value = '';
          }}
        />
        <p class="small faint">
          WAV, AIFF, FLAC, Ogg, MP3 or SigMF of any rate
          {settings !== null && `, up to ${bytesText(settings.limits.recordingBytes)} each`}. What phones write (M4A,
          3GP, WebM, video) is read too{settings?.phoneRecordings === false && ', by this browser'}.
          {settings?.unvouchedUploads === false && ' This server takes recordings from stations with a key only.'}
        </p>
      </div>
      <div class="drop-fields">
        <CallSignInput value={station} wrong={asked && callSign === null} onChange={setStation} />
        <label>
          <span>Satellite</span>
          <select value={chosenMission} onChange={(event) => setMission(event.currentTarget.value)}>
            {(missions.value ?? []).map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
            <option value={ANY}>whichever it holds</option>
          </select>
        </label>
        <UtcInput
          label="Started at, UTC, if known"
          valueMs={startMs}
          onChange={setStart}
          hint="Of the first file; others are moved by as much. If the file itself says it, that is read."
        />
        <label class="check">
          <input type="checkbox" checked={skips} onChange={(event) => setSkips(event.currentTarget.checked)} />
          <span>The recorder skips silence, or files were joined</span>
        </label>
        <label class="check">
          <input
            type="checkbox"
            checked={burstsOnly}
            onChange={(event) => setBurstsOnly(event.currentTarget.checked)}
          />
          <span>Read them in this browser and send only the bursts</span>
        </label>
      </div>
      <BandFields said={band} onChange={setBand} />
      {lone.map((file) => (
        <p key={file.name} class="small wrong" role="alert">
          {loneText(file)}
        </p>
      ))}
      {held.length > 0 && (
        <HeldFiles
          held={held}
          inView={callSign !== null}
          firstStartMs={startMs}
          onSend={begin}
          onForget={() => setHeld([])}
        />
      )}
      <p class="small faint">
        Recordings may hold a room and other people’s voices. Everyone sees the parts that hold a frame; the rest is for
        you and the mission’s team only.
      </p>
    </form>
  );
}

/** Sent along only where the sender stands for it: else the server finds the same by itself. */
function statedStart({ start, corrected }: CorrectedStart): Partial<RecordingFields> {
  if (start === null || !corrected) return {};
  const { iso: startedAt, uncertaintySeconds } = start;
  return { startedAt, ...(uncertaintySeconds === null ? {} : { timeAccuracySeconds: uncertaintySeconds }) };
}
