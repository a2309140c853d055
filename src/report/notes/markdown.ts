import rehypeSanitize, { defaultSchema } from 'rehype-sanitize';
import rehypeStringify from 'rehype-stringify';
import remarkGfm from 'remark-gfm';
import remarkParse from 'remark-parse';
import remarkRehype from 'remark-rehype';
import { unified } from 'unified';

// Headings of notes stand below the page's own second level, so that the outline of the page holds.
interface Node {
  tagName?: string;
  properties?: Record<string, unknown>;
  children?: Node[];
}
function lowered() {
  return (tree: unknown): void => {
    const visit = (node: Node): void => {
      const level = /^h([1-6])$/.exec(node.tagName ?? '');
      if (level) node.tagName = `h${Math.min(6, Number(level[1]) + 2)}`;
      // A task list's boxes have no words of their own for a screen reader.
      if (node.tagName === 'input')
        node.properties = { ...node.properties, ariaLabel: node.properties?.['checked'] ? 'done' : 'to do' };
      node.children?.forEach(visit);
    };
    visit(tree as Node);
  };
}

const sanitized: typeof defaultSchema = {
  ...defaultSchema,
  // Pages load nothing from elsewhere, and pictures have no place to come from yet.
  tagNames: (defaultSchema.tagNames ?? []).filter((tag) => !['img', 'picture', 'source'].includes(tag)),
  attributes: { ...defaultSchema.attributes, input: [...(defaultSchema.attributes?.['input'] ?? []), 'ariaLabel'] },
};

/**
 * An engineer's note as HTML: CommonMark with tables, footnotes, strikethrough by two tildes and task lists. Raw HTML
 * is dropped, addresses with a scheme that could run something as well, and headings start at the third level.
 *
 * @param prefix distinguishes the footnotes of several notes on one page
 */
export function markdown(source: string, prefix = 'note-'): string {
  return String(
    unified()
      .use(remarkParse)
      .use(remarkGfm, { singleTilde: false })
      .use(remarkRehype, { clobberPrefix: prefix })
      .use(rehypeSanitize, { ...sanitized, clobberPrefix: '' })
      .use(lowered)
      .use(rehypeStringify)
      .processSync(source),
  );
}
