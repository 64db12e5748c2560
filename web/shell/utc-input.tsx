import { useEffect, useId, useState } from 'preact/hooks';
import { parseUtc, utcFieldText } from '../words/time.ts';

/**
 * A moment typed as UTC, year first. The browser's own field would show it in the order and zone of wherever the viewer
 * is, which is how hours get lost.
 */
export function UtcInput({
  label,
  valueMs,
  onChange,
  hint,
}: {
  readonly label: string;
  readonly valueMs: number | null;
  /** Null while nothing, or nothing readable, is typed. */
  readonly onChange: (ms: number | null) => void;
  readonly hint?: string;
}) {
  const [typed, setTyped] = useState(valueMs === null ? '' : utcFieldText(valueMs));
  const described = useId();
  const wrong = typed.trim() !== '' && parseUtc(typed) === null;

  // only when the value is set from outside, not while typing
  useEffect(() => {
    if (valueMs !== parseUtc(typed)) setTyped(valueMs === null ? '' : utcFieldText(valueMs));
  }, [valueMs]);

  const below = wrong ? 'Year first, for instance 2031-05-04 09:12.' : hint;
  return (
    <label>
      <span>{label}</span>
      <input
        inputMode="text"
        autocomplete="off"
        spellcheck={false}
        size={19}
        maxLength={30}
        placeholder="yyyy-mm-dd hh:mm"
        value={typed}
        aria-invalid={wrong}
        aria-describedby={below === undefined ? undefined : described}
        onInput={(event) => {
          setTyped(event.currentTarget.value);
          onChange(parseUtc(event.currentTarget.value));
        }}
      />
      {below !== undefined && (
        <span id={described} class={wrong ? 'small wrong' : 'small faint'}>
          {below}
        </span>
      )}
    </label>
  );
}
