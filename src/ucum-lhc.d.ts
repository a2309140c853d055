declare module '@lhncbc/ucum-lhc' {
  interface Converted {
    status: 'succeeded' | 'failed' | 'error';
    toVal: number | null;
    msg: string[];
  }
  const ucum: {
    UcumLhcUtils: { getInstance(): { convertUnitTo(from: string, value: number, to: string): Converted } };
  };
  export default ucum;
}
