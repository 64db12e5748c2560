// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { estimateDoppler } from '../../../../web/pages/hear/doppler.ts';

describe('the estimate of the Doppler shift', () => {
  // Computed apart in closed form: circular orbit, observer in its plane, an Earth that does not rotate; WGS-84 constants.
  it.each([
    [145.9e6, 400e3, 7668.558, 3511.816, 67.3264],
    [145.9e6, 500e3, 7612.608, 3435.509, 52.3064],
    [435e6, 500e3, 7612.608, 10242.95, 155.9511],
    [435e6, 600e3, 7557.865, 10023.561, 126.2612],
  ])('of %f Hz at %f m', (carrierHz, heightMetres, speed, most, steepest) => {
    const estimate = estimateDoppler(carrierHz, heightMetres);
    expect(estimate.speedMetresPerSecond).toBeCloseTo(speed, 2);
    expect(estimate.mostHz).toBeCloseTo(most, 1);
    expect(estimate.steepestHzPerSecond).toBeCloseTo(steepest, 2);
  });
});
