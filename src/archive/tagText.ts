/**
 * The text of a tag file in the encoding that `bagit.txt` names.
 *
 * @returns null where the bytes are not in that encoding
 */
export function tagText(bytes: Uint8Array, encoding: string): string | null {
  // `UTF-16` leaves the order of bytes to the mark at the beginning, and means the big end first where there is none.
  const sixteen = /^utf-?16$/i.test(encoding);
  const label = sixteen ? (bytes[0] === 0xff && bytes[1] === 0xfe ? 'utf-16le' : 'utf-16be') : encoding;
  try {
    return new TextDecoder(label, { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}
