/** The keys of T whose value may be undefined become optional. */
type WithoutUndefined<T> = {
  [K in keyof T as undefined extends T[K] ? never : K]: T[K];
} & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};

/** Leaves out the keys that hold undefined: contracts say "absent", never "there and undefined". */
export function withoutUndefined<T extends object>(value: T): WithoutUndefined<T> {
  return Object.fromEntries(Object.entries(value).filter(([, part]) => part !== undefined)) as WithoutUndefined<T>;
}
