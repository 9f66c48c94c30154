import { runSections } from '../sections.ts';

/**
 * `npm run accuracy [section...]`: prints errors against known bottoms, real soundings and reference
 * solutions.
 */
await runSections(
  {
    bottom: () => import('./bottom.ts'),
    cast: () => import('./cast.ts'),
    intake: () => import('./intake.ts'),
    survey: () => import('./survey.ts'),
    'day-plan': () => import('./day-plan.ts'),
    lake: () => import('./lake.ts'),
    prospect: () => import('./prospect.ts'),
  },
  process.argv.slice(2),
);
