/** The part of the UCUM library that the tests use; it comes without types. */
declare module '@lhncbc/ucum-lhc' {
  interface UcumUtils {
    convertUnitTo(from: string, value: number, to: string): { status: string; toVal: number | null };
  }
  const ucum: { UcumLhcUtils: { getInstance(): UcumUtils } };
  export = ucum;
}
