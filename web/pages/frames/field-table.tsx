import { Fragment } from 'preact';
import { Scroll } from '../../shell/scroll.tsx';
import { confidenceText, rawText } from '../../words/number.ts';

interface Field {
  readonly raw: number | string | null;
  readonly text: string;
  readonly confidence: number;
}

/** A name such as `transmitter_dc` may be broken behind its underscores. */
function breakable(name: string) {
  return name.split(/(?<=_)/).map((part, i) => (
    <Fragment key={i}>
      {i > 0 && <wbr />}
      {part}
    </Fragment>
  ));
}

/** The fields of a frame by name: what was printed, what it means as a raw value, and how sure that is. */
export function FieldTable({ fields }: { readonly fields: Readonly<Record<string, Field>> }) {
  return (
    <Scroll name="The fields">
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
              <th scope="row">{breakable(name)}</th>
              <td>{text === '' ? <span class="faint">unreadable</span> : <code>{text}</code>}</td>
              <td class="number">{typeof raw === 'number' ? rawText(raw) : (raw ?? 'no value')}</td>
              <td class="number">{confidenceText(confidence)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Scroll>
  );
}
