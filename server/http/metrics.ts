import type { Services } from '../services.ts';

/** What is counted while the server runs. */
export class RequestCounts {
  readonly #byClass = new Map<string, number>();

  count(status: number): void {
    const key = `${Math.floor(status / 100)}xx`;
    this.#byClass.set(key, (this.#byClass.get(key) ?? 0) + 1);
  }

  get byClass(): ReadonlyMap<string, number> {
    return this.#byClass;
  }
}

/** The state of the server in the Prometheus text format, version 0.0.4. */
export async function metricsText(
  { store }: Pick<Services, 'store'>,
  requests: RequestCounts,
  liveConnections: number,
): Promise<string> {
  const jobs = await store.jobCounts();
  const frames = await store.frameCounts();
  return [
    metric('fiveunit_http_requests_total', 'counter', 'Requests answered, by class of status.', [
      ...[...requests.byClass].map(([status, count]) => [`{status="${status}"}`, count] as const),
    ]),
    metric('fiveunit_jobs', 'gauge', 'Jobs that wait and that run.', [
      ['{state="waiting"}', jobs.waiting],
      ['{state="running"}', jobs.running],
    ]),
    metric(
      'fiveunit_frames',
      'gauge',
      'Frames stored, by trust.',
      Object.entries(frames).map(([trust, count]) => [`{trust="${trust}"}`, count] as const),
    ),
    metric('fiveunit_live_connections', 'gauge', 'Pages that listen for events.', [['', liveConnections]]),
    metric('process_resident_memory_bytes', 'gauge', 'Memory of the process.', [['', process.memoryUsage.rss()]]),
    metric('process_cpu_seconds_total', 'counter', 'Processor time used.', [['', cpuSeconds()]]),
  ].join('');
}

function metric(
  name: string,
  type: 'counter' | 'gauge',
  help: string,
  values: readonly (readonly [labels: string, value: number])[],
): string {
  const lines = values.map(([labels, value]) => `${name}${labels} ${value}\n`);
  return `# HELP ${name} ${help}\n# TYPE ${name} ${type}\n${lines.join('')}`;
}

function cpuSeconds(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1e6;
}
