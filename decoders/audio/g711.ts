/** Linear value of each mu-law code, -1..1 (ITU-T G.711, 16-bit values over 32768). */
export const MU_LAW: Float32Array = Float32Array.from({ length: 256 }, (_, code) => {
  const bits = ~code & 0xff;
  const segment = (bits >> 4) & 7;
  const magnitude = ((((bits & 15) << 3) + 132) << segment) - 132;
  return (bits & 0x80 ? 0 - magnitude : magnitude) / 32768;
});

/** Linear value of each A-law code, -1..1 (ITU-T G.711, 16-bit values over 32768). */
export const A_LAW: Float32Array = Float32Array.from({ length: 256 }, (_, code) => {
  const bits = code ^ 0x55;
  const segment = (bits >> 4) & 7;
  const step = ((bits & 15) << 4) + 8;
  const magnitude = segment === 0 ? step : (step + 256) << (segment - 1);
  return (bits & 0x80 ? magnitude : -magnitude) / 32768;
});
