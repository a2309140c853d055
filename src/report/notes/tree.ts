/** As much of Markdown's and HTML's trees as directives look at. */
export interface MarkNode {
  type: string;
  name?: string;
  value?: string;
  depth?: number;
  attributes?: Record<string, string | null | undefined> | null;
  children?: MarkNode[];
  position?: { start: Point; end: Point };
  data?: { hName?: string; hProperties?: Record<string, unknown>; directiveLabel?: boolean };
}

interface Point {
  line: number;
  offset?: number;
}

export interface Html {
  type: 'element' | 'text' | 'root';
  tagName?: string;
  properties?: Record<string, unknown>;
  value?: string;
  children?: Html[];
}

/** An element. */
export const element = (tagName: string, properties: Record<string, unknown>, children: Html[]): Html => ({
  type: 'element',
  tagName,
  properties,
  children,
});

export const textNode = (value: string): Html => ({ type: 'text', value });

/** Everything that is read of a part of a note, without its markup. */
export function plainText(node: MarkNode | Html): string {
  if ('value' in node && node.value !== undefined) return node.value;
  return (node.children ?? []).map(plainText).join('');
}
