import { render } from 'preact';
import { followLinks } from './address/location.ts';
import { startLive } from './api/live.ts';
import { App } from './app.tsx';
import { startClock } from './shell/clock.ts';
import { watchMissions } from './shell/missions.ts';
import { registerServiceWorker } from './shell/offline.ts';
import { applyTheme } from './shell/theme.ts';
import { site } from './site/site.ts';
import './style/tokens.css';
import './style/base.css';
import './style/layout.css';
import './style/print.css';

applyTheme();
startClock();
followLinks();
watchMissions();
if (site === null) startLive();
registerServiceWorker();

const root = document.getElementById('page');
if (root !== null) render(<App />, root);
