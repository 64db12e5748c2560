import type { Caller } from '../../access/caller.ts';
import { needTeam } from '../../access/rules.ts';
import { ffmpegIsThere } from '../../audio/ffmpeg.ts';
import type { Services } from '../../services.ts';
import type { App } from '../app-types.ts';
import { Problem, Settings, SettingsChange } from '../messages.ts';

export function settingRoutes(app: App, { store, limits }: Services, publicUrl: string | null): void {
  // Asked for once: whoever installs it starts the server anew.
  let phoneRecordings: Promise<boolean> | null = null;

  async function view(caller: Caller): Promise<Settings> {
    const { recordingBytes, recordingsPerHour, linesPerMinute } = limits;
    phoneRecordings ??= ffmpegIsThere();
    return {
      ...(await store.settings()),
      phoneRecordings: await phoneRecordings,
      limits: { recordingBytes, recordingsPerHour, linesPerMinute },
      publicUrl,
      you: caller.kind,
      ...(caller.kind === 'station' ? { station: caller.callSign } : {}),
    };
  }

  app.get(
    '/api/settings',
    { schema: { summary: 'Settings and limits of this server', response: { 200: Settings } } },
    async ({ caller }) => view(caller),
  );

  app.put(
    '/api/settings',
    {
      schema: { summary: 'Changes settings', body: SettingsChange, response: { 200: Settings, '4xx': Problem } },
    },
    async ({ body, caller }) => {
      needTeam(caller);
      await store.saveSettings({ ...(await store.settings()), ...body });
      return view(caller);
    },
  );
}
