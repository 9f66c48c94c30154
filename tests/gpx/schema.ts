import { readFileSync } from 'node:fs';
import {
  XmlBufferInputProvider,
  XmlDocument,
  XsdValidator,
  xmlCleanupInputProvider,
  xmlRegisterInputProvider,
} from 'libxml2-wasm';
import { reference } from '../reference.ts';
import { schemaText } from './schema-text.ts';

/** Checks files against the schema of GPX 1.0 or 1.1 together with that of our namespace. */
export interface SchemaChecker {
  /** Returns the errors, or undefined if the file is valid. */
  faults(content: Uint8Array): string | undefined;
  dispose(): void;
}

export function createSchemaChecker(version: '1.0' | '1.1'): SchemaChecker {
  const gpx = readFileSync(reference(`gpx-${version}.xsd`));
  xmlRegisterInputProvider(
    new XmlBufferInputProvider({ 'gpx.xsd': gpx, 'ours.xsd': Buffer.from(schemaText()) }),
  );
  const driver = XmlDocument.fromString(`<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">
    <xs:import namespace="http://www.topografix.com/GPX/${version.replace('.', '/')}" schemaLocation="gpx.xsd"/>
    <xs:import namespace="urn:downslope:gpx:1" schemaLocation="ours.xsd"/>
  </xs:schema>`);
  const validator = XsdValidator.fromDoc(driver);
  xmlCleanupInputProvider();
  return {
    faults(content) {
      let document: XmlDocument;
      try {
        document = XmlDocument.fromBuffer(content);
      } catch (error) {
        return `not well-formed: ${(error as Error).message}`;
      }
      try {
        validator.validate(document);
        return undefined;
      } catch (error) {
        return (error as Error).message;
      } finally {
        document.dispose();
      }
    },
    dispose() {
      validator.dispose();
      driver.dispose();
    },
  };
}
