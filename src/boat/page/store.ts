import { type IDBPDatabase, openDB } from 'idb';

const NAME = 'downslope-boat';
const TABLES = ['entries', 'state', 'track'] as const;
type Table = (typeof TABLES)[number];

/**
 * What one page keeps on the phone. Keys begin with the identity of the page, so that pages of two days, which may share
 * one database, never see each other's.
 */
export class Store {
  private readonly page: string;
  private readonly database: IDBPDatabase;

  private constructor(page: string, database: IDBPDatabase) {
    this.page = page;
    this.database = database;
  }

  /** @throws When the phone keeps nothing for this page. */
  static async open(page: string): Promise<Store> {
    const database = await openDB(NAME, 1, {
      upgrade: (fresh) => {
        for (const table of TABLES) fresh.createObjectStore(table);
      },
    });
    return new Store(page, database);
  }

  /** Everything of a table in the order of its keys. */
  async all<T>(table: Table): Promise<T[]> {
    return this.database.getAll(table, IDBKeyRange.bound(`${this.page}/`, `${this.page}/\uffff`));
  }

  get<T>(table: Table, key: string | number): Promise<T | undefined> {
    return this.database.get(table, this.keyOf(key));
  }

  /** Resolves only when the phone has it on its disk. @throws When it is full or refuses. */
  async put(table: Table, key: string | number, value: unknown): Promise<void> {
    const write = this.database.transaction(table, 'readwrite', { durability: 'strict' });
    await Promise.all([write.store.put(value, this.keyOf(key)), write.done]);
  }

  async remove(table: Table, key: string | number): Promise<void> {
    const write = this.database.transaction(table, 'readwrite', { durability: 'strict' });
    await Promise.all([write.store.delete(this.keyOf(key)), write.done]);
  }

  /** Numbers are padded: keys are ordered as texts. */
  private keyOf(key: string | number): string {
    return `${this.page}/${typeof key === 'number' ? String(key).padStart(16, '0') : key}`;
  }
}
