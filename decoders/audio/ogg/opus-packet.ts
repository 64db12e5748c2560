/** Frame lengths in samples at 48 kHz by the four kinds of configuration (RFC 6716, section 3.1, table 2). */
const SILK = [480, 960, 1920, 2880];
const HYBRID = [480, 960];
const CELT = [120, 240, 480, 960];

const LONGEST_SAMPLES = 5760;
const LARGEST_FRAME = 1275;

/**
 * Samples at 48 kHz that an Opus packet holds; null when it breaks one of the rules R1 to R7 for packets (RFC 6716,
 * section 3.4).
 */
export function opusPacketSamples(packet: Uint8Array): number | null {
  if (packet.length === 0) return null;
  const config = packet[0] >> 3;
  const frame = config < 12 ? SILK[config & 3] : config < 16 ? HYBRID[config & 1] : CELT[config & 3];
  const frames = frameCount(packet);
  return frames === null || frames * frame > LONGEST_SAMPLES ? null : frames * frame;
}

function frameCount(packet: Uint8Array): number | null {
  const body = packet.length - 1;
  switch (packet[0] & 3) {
    case 0:
      return body <= LARGEST_FRAME ? 1 : null;
    case 1:
      return body % 2 === 0 && body / 2 <= LARGEST_FRAME ? 2 : null;
    case 2: {
      const first = frameLength(packet, 1, packet.length);
      const second = first === null ? -1 : packet.length - first.next - first.length;
      return second >= 0 && second <= LARGEST_FRAME ? 2 : null;
    }
    default:
      return codedCount(packet);
  }
}

/** Code 3: the count stands in the second byte, then padding, then the lengths of all frames but the last. */
function codedCount(packet: Uint8Array): number | null {
  if (packet.length < 2) return null;
  const frames = packet[1] & 63;
  if (frames === 0) return null;
  let at = 2;
  let end = packet.length;
  if (packet[1] & 64) {
    let byte = 255;
    while (byte === 255) {
      if (at >= packet.length) return null;
      byte = packet[at++];
      end -= byte === 255 ? 254 : byte;
    }
  }
  if (packet[1] & 128) {
    let used = 0;
    for (let i = 1; i < frames; i++) {
      const one = frameLength(packet, at, end);
      if (one === null) return null;
      used += one.length;
      at = one.next;
    }
    const last = end - at - used;
    return last >= 0 && last <= LARGEST_FRAME ? frames : null;
  }
  const all = end - at;
  return all >= 0 && all % frames === 0 && all / frames <= LARGEST_FRAME ? frames : null;
}

/** A length in one or two bytes (RFC 6716, section 3.2.1). */
function frameLength(packet: Uint8Array, at: number, end: number): { length: number; next: number } | null {
  if (at >= end) return null;
  if (packet[at] < 252) return { length: packet[at], next: at + 1 };
  return at + 1 < end ? { length: packet[at] + 4 * packet[at + 1], next: at + 2 } : null;
}
