const WORDS: Readonly<Record<string, string>> = {
  EACCES: 'permission denied',
  EADDRNOTAVAIL: 'this machine does not have that address',
  EBUSY: 'another program is using it',
  EDQUOT: 'your share of the disk is full',
  EFBIG: 'the disk does not take files this large',
  EIO: 'the disk or card failed',
  EISDIR: 'it is a folder',
  ELOOP: 'its links lead in a circle',
  ENAMETOOLONG: 'its name is too long',
  ENOENT: 'there is no such file',
  ENOSPC: 'the disk is full',
  ENOTDIR: 'a part of its path is a file',
  EPERM: 'permission denied',
  ENOTFOUND: 'no such address',
  EROFS: 'the disk is read-only',
};

/** Says in words what a system error means, from its code or its message. Any other text stays. */
export const systemError = (text: string): string => WORDS[/^[A-Z]+/.exec(text)?.[0] ?? ''] ?? text;
