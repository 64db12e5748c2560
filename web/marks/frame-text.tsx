import './frame-text.css';

export interface TextCharacter {
  readonly text: string;
  readonly confidence: number;
  /** Field it belongs to; null for literals and checksums. */
  readonly field: string | null;
}

interface Run {
  readonly field: string | null;
  readonly characters: readonly TextCharacter[];
}

/** Neighbouring characters of the same field, together. */
export function fieldRuns(characters: readonly TextCharacter[]): Run[] {
  const runs: { field: string | null; characters: TextCharacter[] }[] = [];
  for (const character of characters) {
    const last = runs.at(-1);
    if (last !== undefined && last.field === character.field) last.characters.push(character);
    else runs.push({ field: character.field, characters: [character] });
  }
  return runs;
}

const UNSURE = 0.9;

/** A frame as it was printed, its fields told apart, those asked for picked out, unsure characters faint. */
export function FrameText({
  characters,
  picked,
  onField,
}: {
  readonly characters: readonly TextCharacter[];
  readonly picked?: ReadonlySet<string>;
  /** Makes each field something to choose. */
  readonly onField?: (field: string) => void;
}) {
  return (
    <code class="frame-text">
      {fieldRuns(characters).map(({ field, characters: run }, i) => {
        const inside = run.map(({ text, confidence }, at) => (confidence < UNSURE ? <i key={at}>{text}</i> : text));
        if (field === null) return <span key={i}>{inside}</span>;
        const isPicked = picked?.has(field) === true;
        const text = isPicked ? (
          <mark key={i} title={field}>
            {inside}
          </mark>
        ) : (
          <span key={i} class="in-field" title={field}>
            {inside}
          </span>
        );
        if (onField === undefined) return text;
        return (
          <button key={i} type="button" aria-pressed={isPicked} onClick={() => onField(field)}>
            {text}
          </button>
        );
      })}
    </code>
  );
}
