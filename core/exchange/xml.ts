import { XMLBuilder, XMLParser, XMLValidator } from 'fast-xml-parser'
import { say } from '../words/say'
import { PilotError } from '../errors'

/** Text longer than this is no plan and no flight. */
const MOST_CHARACTERS = 200_000_000

/** An element as the parser gives it: attributes under "@name", text under "#text". */
export type Element = Readonly<Record<string, unknown>>

/**
 * The root element of an XML text. Document types are refused, and with them every entity that a
 * file could define for itself. Throws a PilotError.
 * @param lists names of elements that may come several times
 */
export function parseXml(
  text: string,
  fileName: string,
  root: string,
  lists: readonly string[],
): Element {
  if (text.length > MOST_CHARACTERS) {
    throw new PilotError(say('xml.tooLongPlanFlight', { fileName }))
  }
  if (/<!(DOCTYPE|ENTITY)/i.test(text)) {
    throw new PilotError(say('xml.definesDocumentTypeOwn', { fileName, root: root.toUpperCase() }))
  }
  const isWhole = XMLValidator.validate(text)
  if (isWhole !== true) {
    throw new PilotError(
      say('xml.notWholeXmlLine', {
        fileName,
        line: isWhole.err.line,
        msg: isWhole.err.msg.slice(0, 120),
      }),
    )
  }
  const parser = new XMLParser({
    ignoreAttributes: false,
    attributeNamePrefix: '@',
    removeNSPrefix: true,
    parseTagValue: false,
    parseAttributeValue: false,
    // Numbers of characters as well, such as &#233;: others write names with them.
    htmlEntities: true,
    isArray: (name) => lists.includes(name),
  })
  const found = (parser.parse(text) as Element)[root]
  if (typeof found !== 'object' || found === null) {
    throw new PilotError(
      say('xml.xmlButNoFirst', { fileName, root: root.toUpperCase(), root2: root }),
    )
  }
  return found as Element
}

/** Elements of a name inside another; none where there are none. */
export function elementsOf(parent: Element | undefined, name: string): readonly Element[] {
  const found = parent?.[name]
  const all: unknown[] = Array.isArray(found) ? found : found === undefined ? [] : [found]
  return all.map(
    (one) => (typeof one === 'object' && one !== null ? one : { '#text': one }) as Element,
  )
}

/** Text of an element of a name inside another; empty where there is none. */
export function textOf(parent: Element | undefined, name: string): string {
  const [first] = elementsOf(parent, name)
  const text = first?.['#text']
  return typeof text === 'string' || typeof text === 'number' ? String(text).trim() : ''
}

/** An XML text; member names and "@" for attributes as the parser gives them, in their order. */
export function buildXml(root: string, content: object): string {
  const builder = new XMLBuilder({
    ignoreAttributes: false,
    attributeNamePrefix: '@',
    format: true,
    suppressEmptyNode: true,
  })
  return `<?xml version="1.0" encoding="UTF-8"?>\n${builder.build({ [root]: content })}`
}
