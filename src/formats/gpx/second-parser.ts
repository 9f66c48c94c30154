import { ParseOption, XmlDocument, XmlParseError } from 'libxml2-wasm';

/** Nothing is fetched, nothing is too long, and the text is UTF-8 whatever it says of itself. */
const OPTIONS =
  ParseOption.XML_PARSE_NONET |
  ParseOption.XML_PARSE_NO_XXE |
  ParseOption.XML_PARSE_HUGE |
  ParseOption.XML_PARSE_IGNORE_ENC;

/** Level of a fault that makes a text no XML; libxml2's `XML_ERR_FATAL`. */
const FATAL = 3;

/** Why the second parser does not accept a text in UTF-8, in one line; undefined when it does. */
export function whyRefused(text: Uint8Array): string | undefined {
  try {
    XmlDocument.fromBuffer(text, { option: OPTIONS }).dispose();
    return undefined;
  } catch (error) {
    if (!(error instanceof XmlParseError)) throw error;
    // Others are about the names of namespaces and encodings, which any parser goes on after.
    const fault = error.details.length === 0 ? error : error.details.find(({ level }) => level >= FATAL);
    return fault?.message.trim().split('\n')[0];
  }
}
