import process from 'node:process';

/** Takes the thread down. */
export default function gone() {
  process.exit(3);
}
