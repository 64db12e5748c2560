import { describe, expect, test } from 'vitest';
import { parseProxies, parsePublicUrl, tlsFilesOf } from '../../../server/cli/network.ts';

describe('parsePublicUrl', () => {
  test.each([
    ['https://wren.example', 'https://wren.example'],
    ['https://wren.example/', 'https://wren.example'],
    ['HTTP://Wren.Example:8080', 'http://wren.example:8080'],
  ])('takes %s', (text, url) => {
    expect(parsePublicUrl(text)).toBe(url);
  });

  test.each([
    '',
    'wren.example',
    'ftp://wren.example',
    'https://wren.example/below',
    'https://a:b@wren.example',
    'https://w.example/?a',
  ])('refuses %s', (text) => {
    expect(() => parsePublicUrl(text)).toThrow(/such as https:\/\/wren\.example/);
  });
});

describe('parseProxies', () => {
  test('takes addresses, ranges and this machine', () => {
    expect(parseProxies('loopback, 10.0.0.0/8,192.0.2.7,2001:db8::/32')).toBe(
      'loopback,10.0.0.0/8,192.0.2.7,2001:db8::/32',
    );
  });

  test.each(['', 'all', '10.0.0.0/33', '10.0.0', '10.0.0.0/8/8', '10.0.0.0/', 'loopback,'])('refuses %s', (text) => {
    expect(() => parseProxies(text)).toThrow(/addresses/);
  });
});

describe('tlsFilesOf', () => {
  test('wants both files or neither', () => {
    expect(tlsFilesOf(undefined, undefined)).toBeNull();
    expect(tlsFilesOf('c.pem', 'k.pem')).toEqual({ certPath: 'c.pem', keyPath: 'k.pem' });
    expect(() => tlsFilesOf('c.pem', undefined)).toThrow('--tls-cert was given without --tls-key');
    expect(() => tlsFilesOf(undefined, 'k.pem')).toThrow('--tls-key was given without --tls-cert');
  });
});
