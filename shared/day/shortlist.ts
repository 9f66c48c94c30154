/** The best few insertions by score. */
export class Shortlist {
  readonly scores: Float64Array;
  readonly positions: Int32Array;
  readonly packed: Int32Array;
  readonly extra: Float64Array;
  length = 0;
  /** Score that an insertion has to beat. */
  least = 0;

  constructor(capacity: number) {
    this.scores = new Float64Array(capacity);
    this.positions = new Int32Array(capacity);
    this.packed = new Int32Array(capacity);
    this.extra = new Float64Array(capacity);
  }

  clear(): void {
    this.length = 0;
    this.least = 0;
  }

  /** @param extra Time that the insertion adds, s. */
  add(score: number, position: number, packed: number, extra: number): void {
    const { scores, positions } = this;
    const capacity = scores.length;
    let at = this.length < capacity ? this.length++ : capacity - 1;
    for (; at > 0 && scores[at - 1] < score; at--) {
      scores[at] = scores[at - 1];
      positions[at] = positions[at - 1];
      this.packed[at] = this.packed[at - 1];
      this.extra[at] = this.extra[at - 1];
    }
    scores[at] = score;
    positions[at] = position;
    this.packed[at] = packed;
    this.extra[at] = extra;
    if (this.length === capacity) this.least = scores[capacity - 1];
  }

  removeAt(at: number): void {
    this.length--;
    for (let next = at; next < this.length; next++) {
      this.scores[next] = this.scores[next + 1];
      this.positions[next] = this.positions[next + 1];
      this.packed[next] = this.packed[next + 1];
      this.extra[next] = this.extra[next + 1];
    }
  }
}
