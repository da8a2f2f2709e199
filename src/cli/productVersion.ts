declare const PRODUCT_VERSION: string;

/** Version of the built product, set by build.mjs from package.json. */
export function productVersion(): string {
  return typeof PRODUCT_VERSION === 'string' ? PRODUCT_VERSION : 'unbuilt';
}
