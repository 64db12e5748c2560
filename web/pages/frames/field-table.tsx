import { confidenceText, rawText } from '../../words/number.ts';

interface Field {
  readonly raw: number | string | null;
  readonly text: string;
  readonly confidence: number;
}

/** The fields of a frame by name: what was printed, what it means as a raw value, and how sure that is. */
export function FieldTable({ fields }: { readonly fields: Readonly<Record<string, Field>> }) {
  return (
    <div class="scroll">
      <table class="field-table">
        <thead>
          <tr>
            <th scope="col">Field</th>
            <th scope="col">As printed</th>
            <th scope="col" class="number">
              Raw value
            </th>
            <th scope="col" class="number">
              Sure
            </th>
          </tr>
        </thead>
        <tbody>
          {Object.entries(fields).map(([name, { raw, text, confidence }]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td>{text === '' ? <span class="faint">unreadable</span> : <code>{text}</code>}</td>
              <td class="number">{typeof raw === 'number' ? rawText(raw) : (raw ?? 'no value')}</td>
              <td class="number">{confidenceText(confidence)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
