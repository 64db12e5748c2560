import { useRef, useState } from 'preact/hooks';
import type { RecordingFields } from '../../../server/http/messages.ts';
import { getSettings } from '../../api/endpoints.ts';
import { useResource } from '../../api/use-resource.ts';
import { readCallSign } from '../../shell/call-sign.ts';
import { CallSignInput } from '../../shell/call-sign-input.tsx';
import { keep, recall } from '../../shell/kept.ts';
import { mission, missions, phase } from '../../shell/missions.ts';
import { UtcInput } from '../../shell/utc-input.tsx';
import { bytesText, countText } from '../../words/number.ts';
import { send } from './uploads.ts';

const ANY = 'any';

/** Takes recordings: dropped or chosen, with the call sign of who heard them. Files wait here until all is said. */
export function DropArea() {
  const [station, setStation] = useState(recall('call-sign') ?? '');
  const [chosenMission, setMission] = useState(mission.peek()?.id ?? ANY);
  const [startMs, setStart] = useState<number | null>(null);
  const [files, setFiles] = useState<readonly File[]>([]);
  const [over, setOver] = useState(false);
  const [asked, setAsked] = useState(false);
  const picker = useRef<HTMLInputElement>(null);
  const callSign = readCallSign(station);
  const settings = useResource('settings', getSettings).value;

  const sendAll = (all: readonly File[]): void => {
    if (all.length === 0) return;
    if (callSign === null) {
      setFiles(all);
      setAsked(true);
      return;
    }
    keep('call-sign', callSign);
    const fields: RecordingFields = { mission: chosenMission, station: callSign, phase: phase.peek() };
    // one moment cannot be the start of several files
    if (startMs !== null && all.length === 1) fields.startedAt = new Date(startMs).toISOString();
    for (const file of all) void send(file, fields);
    setFiles([]);
    setAsked(false);
    setStart(null);
  };

  return (
    <form
      class="drop-form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        sendAll(files);
      }}
    >
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
          sendAll([...files, ...(event.dataTransfer?.files ?? [])]);
        }}
      >
        <p>
          <strong>Drop recordings here.</strong> No settings are needed: the burst is looked for at every speed and
          pitch.
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
          accept="audio/*,.wav"
          onChange={(event) => {
            sendAll([...files, ...(event.currentTarget.files ?? [])]);
            event.currentTarget.value = '';
          }}
        />
        <p class="small faint">
          WAV files of any rate{settings !== null && `, up to ${bytesText(settings.limits.recordingBytes)} each`}.
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
          hint="For one file. If the file itself says it, that is read."
        />
      </div>
      {files.length > 0 && (
        <div class="row held" role="status">
          <span>
            {countText(files.length, 'file')} kept here: {files.map(({ name }) => name).join(', ')}
          </span>
          <button type="submit" class="primary">
            Send
          </button>
          <button type="button" onClick={() => setFiles([])}>
            Forget
          </button>
        </div>
      )}
      <p class="small faint">
        Recordings may hold a room and other people’s voices: everyone sees the stretches that hold a frame; the rest is
        for you and the mission’s team.
      </p>
    </form>
  );
}
