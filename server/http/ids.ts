/** Public names of what the store counts: `r12` for a recording, `f12` for a frame. */
export const recordingId = (id: number): string => `r${id}`;
export const frameId = (id: number): string => `f${id}`;

/** The store's number of a public name that passed its schema. */
export const storedId = (publicId: string): number => Number(publicId.slice(1));
