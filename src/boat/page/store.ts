import { type IDBPDatabase, openDB } from 'idb';

const NAME = 'downslope-boat';
const TABLES = ['entries', 'state', 'track'] as const;
type Table = (typeof TABLES)[number];

/**
 * The data of one page in the phone's database. Keys begin with the page's identity, so that pages of two days that
 * share a database never see each other's data.
 */
export class Store {
  private readonly page: string;
  private readonly database: IDBPDatabase;

  private constructor(page: string, database: IDBPDatabase) {
    this.page = page;
    this.database = database;
  }

  /** @throws When the phone cannot store anything for this page. */
  static async open(page: string): Promise<Store> {
    const database = await openDB(NAME, 1, {
      upgrade: (fresh) => {
        for (const table of TABLES) fresh.createObjectStore(table);
      },
    });
    return new Store(page, database);
  }

  /** All values of a table, in key order. */
  async all<T>(table: Table): Promise<T[]> {
    return this.database.getAll(table, IDBKeyRange.bound(`${this.page}/`, `${this.page}/\uffff`));
  }

  get<T>(table: Table, key: string | number): Promise<T | undefined> {
    return this.database.get(table, this.keyOf(key));
  }

  /** Resolves only when the value is on disk. @throws When the storage is full or refused. */
  async put(table: Table, key: string | number, value: unknown): Promise<void> {
    const write = this.database.transaction(table, 'readwrite', { durability: 'strict' });
    await Promise.all([write.store.put(value, this.keyOf(key)), write.done]);
  }

  async remove(table: Table, key: string | number): Promise<void> {
    const write = this.database.transaction(table, 'readwrite', { durability: 'strict' });
    await Promise.all([write.store.delete(this.keyOf(key)), write.done]);
  }

  /** Numbers are padded because keys are sorted as text. */
  private keyOf(key: string | number): string {
    return `${this.page}/${typeof key === 'number' ? String(key).padStart(16, '0') : key}`;
  }
}
