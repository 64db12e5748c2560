import { useId } from 'preact/hooks';
import { CALL_SIGN_HINT } from './call-sign.ts';

/** The call sign of the station that heard the beacon. */
export function CallSignInput({
  value,
  wrong,
  onChange,
}: {
  readonly value: string;
  /** Say that it is missing or cannot be one. */
  readonly wrong: boolean;
  readonly onChange: (typed: string) => void;
}) {
  const hint = useId();
  return (
    <label>
      <span>Station call sign</span>
      <input
        name="station"
        autocomplete="off"
        autocapitalize="characters"
        spellcheck={false}
        maxLength={20}
        size={12}
        value={value}
        aria-invalid={wrong}
        aria-describedby={hint}
        onInput={(event) => onChange(event.currentTarget.value)}
      />
      <span id={hint} class={wrong ? 'small wrong' : 'small faint'}>
        {wrong ? `A call sign is needed. ${CALL_SIGN_HINT}` : CALL_SIGN_HINT}
      </span>
    </label>
  );
}
