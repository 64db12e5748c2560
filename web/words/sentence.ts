/** A message that follows a heading as a sentence of its own. A name or path at its start is left as it is. */
export function sentence(message: string): string {
  const begun = /^[a-z]+ /.test(message) ? message.charAt(0).toUpperCase() + message.slice(1) : message;
  return /[.!?…]$/.test(begun) ? begun : `${begun}.`;
}
