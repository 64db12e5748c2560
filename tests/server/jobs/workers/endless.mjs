/** Never gives the thread back. */
export default function endless({ port }) {
  port.postMessage({ fraction: 0 });
  for (;;);
}
