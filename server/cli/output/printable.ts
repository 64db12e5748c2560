/** Text from the air or from strangers may hold codes that would ring or repaint a terminal: they are shown as pictures. */
export function printable(text: string): string {
  return text
    .replaceAll(/\r\n?/g, '\n')
    .replaceAll(/[\0-\x09\x0b-\x1f]/g, (control) => String.fromCodePoint(0x2400 + control.charCodeAt(0)))
    .replaceAll(/[\x7f-\x9f\u200e\u200f\u202a-\u202e\u2066-\u2069]/g, '\ufffd');
}
