import { type IDBPDatabase, openDB } from 'idb';

const NAME = 'downslope-boat';
const TABLES = ['entries', 'state', 'track'] as const;
type Table = (typeof TABLES)[number];

/**
 * Stores a session in the phone's database. If storing fails, `problem` says why and the session goes on.
 * Keys begin with the page's identity, so that pages that share a database never see each other's data.
 */
export class SessionStore {
  /** Why taps are not being stored; undefined while taps are stored. */
  problem: string | undefined = 'the phone does not store anything for this page';
  private readonly page: string;
  private readonly onProblem: () => void;
  private database: IDBPDatabase | undefined;

  /** @param onProblem Called when something could not be stored. */
  constructor(page: string, onProblem: () => void) {
    this.page = page;
    this.onProblem = onProblem;
  }

  async open(): Promise<void> {
    try {
      this.database = await openDB(NAME, 1, {
        upgrade: (fresh) => {
          for (const table of TABLES) fresh.createObjectStore(table);
        },
      });
      this.problem = undefined;
      void navigator.storage?.persist?.();
    } catch {
      // `problem` still says that nothing is stored.
    }
  }

  /** Returns all values of a table, in key order. */
  async all<T>(table: Table): Promise<T[]> {
    const keys = IDBKeyRange.bound(`${this.page}/`, `${this.page}/\uffff`);
    return (await this.database?.getAll(table, keys)) ?? [];
  }

  async get<T>(table: Table, key: string): Promise<T | undefined> {
    return this.database?.get(table, this.keyOf(key));
  }

  /** Stores a value; undefined removes the stored one. Resolves when the change is on disk or has failed. */
  async write(table: Table, key: string | number, value: unknown): Promise<void> {
    if (this.database === undefined) return;
    try {
      const { store, done } = this.database.transaction(table, 'readwrite', { durability: 'strict' });
      const at = this.keyOf(key);
      await Promise.all([value === undefined ? store.delete(at) : store.put(value, at), done]);
      this.problem = undefined;
    } catch (cause) {
      this.problem =
        (cause as Error).name === 'QuotaExceededError'
          ? 'the phone\u2019s storage is full'
          : 'the phone could not store the last tap';
      this.onProblem();
    }
  }

  /** Makes a key. Numbers are padded because keys are sorted as text. */
  private keyOf(key: string | number): string {
    return `${this.page}/${typeof key === 'number' ? String(key).padStart(16, '0') : key}`;
  }
}
