import { InvalidArgumentError } from 'commander';

/** Date and time with a zone: without one, a moment would depend on whose computer reads it. */
const form = /^(\d{4}-\d{2}-\d{2})T(\d{2}:\d{2})(:\d{2}(\.\d{1,6})?)?(Z|[+-]\d{2}:\d{2})$/;

/**
 * An ISO 8601 time as typed on the command line, brought to UTC.
 *
 * @throws InvalidArgumentError when it is none.
 */
export function parseTime(text: string): string {
  const match = form.exec(text);
  const time = match === null ? Number.NaN : Date.parse(text);
  // The runtime takes 31 February for a day in March.
  const date = match === null ? '' : match[1];
  const sameDay = match !== null && new Date(`${date}T00:00:00Z`).toJSON()?.startsWith(date);
  if (Number.isNaN(time) || !sameDay) {
    throw new InvalidArgumentError('A time is written as 2027-03-01T18:40:00Z or 2027-03-01T19:40:00+01:00.');
  }
  return new Date(time).toISOString();
}
