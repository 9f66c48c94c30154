/** A place, latitude and longitude in deg. */
export interface Degrees {
  readonly lat: number;
  readonly lon: number;
}

export interface Position extends Degrees {
  /** Accuracy reported by the phone, m; absent for a place that was tapped or chosen. */
  readonly exact?: number;
  /** Time of the position, ms since 1970. */
  readonly time: number;
  readonly source: 'phone' | 'tapped' | 'spot';
  /** Direction of travel, deg true; absent while the boat is not moving or the phone does not report it. */
  readonly heading?: number;
}

/** Minimum age of a position that is out of date, ms. */
const FRESH = 60_000;
/** Maximum `exact` of a position that can tell one spot from another, m. */
const EXACT = 60;

/** The boat's position: from the phone where that is allowed, otherwise from what was tapped or chosen. */
export class BoatPosition {
  now: Position | undefined;
  private refusal: string | undefined;
  private onMove: () => void = () => undefined;

  /** @param onMove Called at every new position, and when the phone reports that it has none. */
  watch(onMove: () => void): void {
    this.onMove = onMove;
    if (!('geolocation' in navigator)) {
      this.refusal = 'this browser does not share your position';
      return;
    }
    navigator.geolocation.watchPosition(
      ({ coords, timestamp }) => {
        this.refusal = undefined;
        this.take({
          lat: coords.latitude,
          lon: coords.longitude,
          exact: coords.accuracy,
          time: timestamp,
          source: 'phone',
          ...(coords.heading === null || Number.isNaN(coords.heading) ? {} : { heading: coords.heading }),
        });
      },
      ({ code }) => {
        this.refusal =
          code === 1 ? 'this page may not use your position' : 'the phone cannot find your position';
        onMove();
      },
      { enableHighAccuracy: true, maximumAge: 5000 },
    );
  }

  /** Takes a tapped place as the position; a spot's place only if no exact position is known. */
  choose(lat: number, lon: number, source: 'tapped' | 'spot'): void {
    if (source === 'tapped' || this.exactPlace() === undefined)
      this.take({ lat, lon, time: Date.now(), source });
  }

  /** Returns a position measured or tapped recently that is accurate enough to tell spots apart, if any. */
  exactPlace(): Position | undefined {
    const { now } = this;
    const isGood = now !== undefined && Date.now() - now.time < FRESH && (now.exact ?? 0) <= EXACT;
    return isGood && now.source !== 'spot' ? now : undefined;
  }

  /**
   * Writes the source, accuracy and age of the position, such as `Phone position within 6 yd, 3 s old`, or
   * why there is no position.
   *
   * @param length Formats a length in m.
   */
  text(length: (meters: number) => string): string {
    const { now, refusal } = this;
    const why = refusal === undefined ? '' : `${refusal}; `;
    if (now === undefined)
      return why === '' ? 'Waiting for the phone’s position' : `No position: ${why}tap "I am here" on Lake`;
    const age = `${ageText(Date.now() - now.time)} old`;
    if (now.source === 'phone')
      return `Phone position within ${length(now.exact ?? 0)}, ${age}${refusal === undefined ? '' : `; now ${refusal}`}`;
    return `${why}place ${now.source === 'tapped' ? 'as tapped on the map' : 'taken from the spot'}, ${age}`;
  }

  private take(position: Position): void {
    this.now = position;
    this.onMove();
  }
}

const ageText = (age: number): string =>
  age < 90_000 ? `${Math.max(0, Math.round(age / 1000))} s` : `${Math.round(age / 60_000)} min`;
