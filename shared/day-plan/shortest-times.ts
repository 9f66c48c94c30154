/** Edges of node `i` are `first[i]` to `first[i + 1]` of `to` and `seconds`. */
export interface TimedEdges {
  readonly first: Int32Array;
  readonly to: Int32Array;
  /** > 0. */
  readonly seconds: Float32Array;
}

/** Most buckets open at a time; where edges differ by more, a bucket is wider than the shortest. */
const MOST_BUCKETS = 4096;

/**
 * Makes a function of a source and targets: shortest times by node, s, final for all targets; of nodes farther
 * away they may be too long, or Infinity.
 *
 * Nodes wait in buckets of time instead of a sorted queue. One that gets nearer is looked at again, so times
 * are exact however wide a bucket is.
 * Source: Dial 1969, Communications of the ACM 12(11), doi:10.1145/363269.363610.
 */
export function shortestTimes(
  edges: TimedEdges,
): (source: number, targets: readonly number[]) => Float64Array {
  const { first, to, seconds } = edges;
  const shortest = seconds.reduce((least, one) => Math.min(least, one), Infinity);
  const longest = seconds.reduce((most, one) => Math.max(most, one), 0);
  const width = Math.max(shortest, longest / (MOST_BUCKETS - 2));
  const span = seconds.length === 0 ? 1 : Math.ceil(longest / width) + 2;
  return (source, targets) => {
    const times = new Float64Array(first.length - 1).fill(Infinity);
    if (source < 0) return times;
    const buckets: number[][] = Array.from({ length: span }, () => []);
    const missing = new Set(targets.filter((node) => node >= 0));
    let waiting = 1;
    times[source] = 0;
    buckets[0].push(source);
    for (let level = 0; missing.size > 0 && waiting > 0; level++) {
      const bucket = buckets[level % span];
      for (let at = 0; at < bucket.length; at++) {
        const node = bucket[at];
        const time = times[node];
        for (let edge = first[node]; edge < first[node + 1]; edge++) {
          const there = time + seconds[edge];
          if (there >= times[to[edge]]) continue;
          times[to[edge]] = there;
          buckets[Math.floor(there / width) % span].push(to[edge]);
          waiting++;
        }
      }
      for (const node of bucket) missing.delete(node);
      waiting -= bucket.length;
      bucket.length = 0;
    }
    return times;
  };
}
