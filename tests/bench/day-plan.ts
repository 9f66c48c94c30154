import { SEARCH_SETTINGS, searchPlan } from '../../shared/day/search.ts';
import { groupedDay, inventedDay } from '../day/instances.ts';
import { plan, ringLake } from '../day/lake.ts';
import type { Section } from '../sections.ts';

/** Measures the user CPU time of the search alone, and of whole plans with runs over known water. */
export const section: Section = {
  name: 'day plan',
  run(print) {
    for (const [count, hours] of [
      [40, 7.5],
      [120, 7.5],
      [300, 7.5],
      [120, 5],
    ]) {
      const problem = inventedDay({ count, seed: 1, day: hours * 3600, reach: 500 });
      const times = [1, 2, 3].map((seed) => seconds(() => searchPlan(problem, { ...SEARCH_SETTINGS, seed })));
      print(`search, ${count} spots, ${hours} h: ${times.map((time) => `${time.toFixed(2)} s`).join(', ')}`);
    }
    for (const count of [120, 300]) {
      const times = [1, 2, 3].map((seed) => seconds(() => searchPlan(groupedDay(count, seed))));
      print(
        `search, ${count} spots in groups, 7.5 h: ${times.map((time) => `${time.toFixed(2)} s`).join(', ')}`,
      );
    }
    for (const count of [120, 300]) {
      const lake = ringLake(count, 1);
      const time = seconds(() => plan(lake, { ...SEARCH_SETTINGS, cast: 5 }));
      print(
        `whole plan, ${count} marks around an island, ${lake.input.survey.count} soundings: ${time.toFixed(2)} s`,
      );
    }
  },
};

/** Measures the user CPU time of a function, s. */
function seconds(work: () => unknown): number {
  const before = process.cpuUsage().user;
  work();
  return (process.cpuUsage().user - before) / 1e6;
}
