export { OVERVIEW } from './figures.ts';
export { cautionList, digest } from './page-shell.ts';
export type { ReportInput } from './report-input.ts';
export { renderPlanPage, renderReport } from './report-page.ts';
export { escapeText } from './svg.ts';
export { startViewServer } from './view-server.ts';
