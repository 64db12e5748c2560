import type { RecordingChange, RecordingFields } from '../../../server/http/messages.ts';

/** What a sender says of recordings as complex bands, as it is typed. */
export interface BandSaid {
  readonly isBand: boolean;
  readonly centreMegahertz: string;
  readonly tuning: NonNullable<RecordingFields['tuning']>;
  readonly referencePpm: string;
}

export const NOTHING_SAID: BandSaid = { isBand: false, centreMegahertz: '', tuning: 'unknown', referencePpm: '' };

const MOST_PPM = 1000;

/** A number as people type it; null for none. */
function typedNumber(text: string): number | null {
  const value = Number(text.trim().replace(',', '.'));
  return text.trim() === '' || !Number.isFinite(value) ? null : value;
}

const isWrong = (text: string, most: number): boolean => {
  const value = typedNumber(text);
  return text.trim() !== '' && (value === null || value < 0 || value > most);
};
const centreWrong = ({ centreMegahertz }: BandSaid): boolean => isWrong(centreMegahertz, 1e6);
const ppmWrong = ({ referencePpm }: BandSaid): boolean => isWrong(referencePpm, MOST_PPM);

/** What goes along with a recording; what is wrong or left empty is not said. */
export function bandFields(said: BandSaid): Pick<RecordingFields, 'iq' | 'centerHz' | 'tuning' | 'referenceErrorPpm'> {
  const centre = centreWrong(said) ? null : typedNumber(said.centreMegahertz);
  const ppm = ppmWrong(said) ? null : typedNumber(said.referencePpm);
  return {
    ...(said.isBand ? { iq: true } : {}),
    ...(said.isBand && centre !== null ? { centerHz: Math.round(centre * 1e9) / 1e3 } : {}),
    ...(said.tuning === 'unknown' ? {} : { tuning: said.tuning }),
    ...(ppm === null ? {} : { referenceErrorPpm: ppm }),
  };
}

/** What a sender says later of how its receiver was tuned; what is left empty is not known. */
export function tuningChange(said: BandSaid): Pick<RecordingChange, 'tuning' | 'referenceErrorPpm'> {
  return { tuning: said.tuning, referenceErrorPpm: ppmWrong(said) ? null : typedNumber(said.referencePpm) };
}

/** Whether something is typed that cannot be. */
export const isBandWrong = (said: BandSaid): boolean => centreWrong(said) || ppmWrong(said);

interface FieldProps {
  readonly said: BandSaid;
  readonly onChange: (said: BandSaid) => void;
}

/** Asks those who send I/Q what it needs, and what later work on orbits wants to know; others leave it closed. */
export function BandFields({ said, onChange }: FieldProps) {
  return (
    <details class="band-said">
      <summary>I/Q recordings</summary>
      <div class="drop-fields">
        <label class="check">
          <input
            type="checkbox"
            checked={said.isBand}
            onChange={(event) => onChange({ ...said, isBand: event.currentTarget.checked })}
          />
          <span>Both channels are I and Q of one band</span>
        </label>
        {said.isBand && <CentreField said={said} onChange={onChange} />}
        <TuningFields said={said} onChange={onChange} />
      </div>
      <p class="small faint">
        SigMF says that it is I/Q, and where its middle is; a pair of files is sent as one archive. Of two-channel files
        the tick says it, where it is not recognised. How the receiver was tuned is kept for work on the orbit.
      </p>
    </details>
  );
}

export function CentreField({ said, onChange }: FieldProps) {
  return (
    <label>
      <span>Middle of the band, MHz, if known</span>
      <input
        inputMode="decimal"
        size={12}
        maxLength={16}
        autocomplete="off"
        placeholder="145.900"
        value={said.centreMegahertz}
        aria-invalid={centreWrong(said)}
        onInput={(event) => onChange({ ...said, centreMegahertz: event.currentTarget.value })}
      />
    </label>
  );
}

export function TuningFields({ said, onChange }: FieldProps) {
  return (
    <>
      <label>
        <span>The receiver was</span>
        <select
          value={said.tuning}
          onChange={(event) => onChange({ ...said, tuning: tuningOf(event.currentTarget.value) })}
        >
          <option value="unknown">tuned, nobody knows how</option>
          <option value="fixed">fixed to one frequency</option>
          <option value="doppler-corrected">led along with Doppler</option>
          <option value="retuned">retuned in steps that the file states</option>
        </select>
      </label>
      <label>
        <span>Its reference is right to, ppm</span>
        <input
          inputMode="decimal"
          size={6}
          maxLength={8}
          autocomplete="off"
          placeholder="0.5"
          value={said.referencePpm}
          aria-invalid={ppmWrong(said)}
          onInput={(event) => onChange({ ...said, referencePpm: event.currentTarget.value })}
        />
      </label>
    </>
  );
}

function tuningOf(value: string): BandSaid['tuning'] {
  return value === 'fixed' || value === 'doppler-corrected' || value === 'retuned' ? value : 'unknown';
}
