export { OVERVIEW } from './figure-names.ts';
export { PLAN_STYLE, planSections, renderPlanPage } from './plan-page.ts';
export type { ReportDay, ReportInput } from './report-input.ts';
export { renderReport } from './report-page.ts';
export { escapeText } from './svg.ts';
export { startViewServer } from './view-server.ts';
