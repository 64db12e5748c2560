import { describe, expect, it } from 'vitest';
import { OggPackets } from '../../../../decoders/audio/ogg/packets.ts';
import { randomBytes } from '../../support/damage.ts';
import { joined, oggPage, packetPage, pagesOf } from './ogg-file.ts';

function packetsOf(...pages: readonly Uint8Array[]) {
  const packets = new OggPackets();
  return pagesOf(joined(...pages)).map((page) => {
    const taken = packets.take(page);
    return { gap: taken.gap, packets: taken.packets.map((packet) => packet.slice()) };
  });
}

const long = randomBytes(1000, 1);
const short = randomBytes(10, 2);
/** A packet of 1000 bytes over three pages, then a short one. */
const spread = [
  oggPage({ sequence: 5, lacing: [255], body: long.subarray(0, 255) }),
  oggPage({ sequence: 6, flags: 1, granule: -1n, lacing: [255, 255], body: long.subarray(255, 765) }),
  oggPage({ sequence: 7, flags: 1, lacing: [235, 10], body: joined(long.subarray(765), short) }),
];

describe('OggPackets', () => {
  it('takes the packets of a page apart (RFC 3533, section 5: 255 bytes are 255, 0)', () => {
    const packets = [randomBytes(255, 3), randomBytes(753, 4), new Uint8Array(), randomBytes(1, 5)];
    expect(packetsOf(packetPage(packets))).toEqual([{ gap: false, packets }]);
  });

  it('puts a packet together that lies on several pages', () => {
    expect(packetsOf(...spread)).toEqual([
      { gap: false, packets: [] },
      { gap: false, packets: [] },
      { gap: false, packets: [long, short] },
    ]);
  });

  it('drops what is left of a packet whose middle or beginning is missing, and says that pages are', () => {
    expect(packetsOf(spread[0], spread[2])[1]).toEqual({ gap: true, packets: [short] });
    expect(packetsOf(spread[1], spread[2])[1]).toEqual({ gap: false, packets: [short] });
  });

  it('drops a packet that is begun and not gone on with', () => {
    const next = packetPage([short], { sequence: 6 });
    expect(packetsOf(spread[0], next)[1]).toEqual({ gap: false, packets: [short] });
  });

  it('cuts a packet of absurd length', () => {
    const part = new Uint8Array(255 * 255).fill(7);
    const pages = Array.from({ length: 8 }, (_, i) =>
      oggPage({ sequence: i, flags: i === 0 ? 0 : 1, lacing: Array(255).fill(255), body: part }),
    );
    const end = oggPage({ sequence: 8, flags: 1, lacing: [3], body: Uint8Array.of(1, 2, 3) });
    expect(packetsOf(...pages, end)[8].packets.map(({ length }) => length)).toEqual([2 ** 18]);
  });
});
