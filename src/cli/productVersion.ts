declare const PRODUCT_VERSION: string;
declare const PRODUCT_BUILD: string;

/** Version of the built product, set by build.mjs from package.json. */
export function productVersion(): string {
  return typeof PRODUCT_VERSION === 'string' ? PRODUCT_VERSION : 'unbuilt';
}

/** A digest of the sources that this program was built from; undefined where it was not built. */
export function productBuild(): string | undefined {
  return typeof PRODUCT_BUILD === 'string' ? PRODUCT_BUILD : undefined;
}
