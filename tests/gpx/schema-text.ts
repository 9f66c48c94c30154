import { FIELDS, type FieldDefinition } from '../../shared/contract/index.ts';
import { escapeXml } from '../../src/formats/gpx/escape-xml.ts';
import { NAMESPACE } from '../../src/formats/gpx/namespaces.ts';
import { UNIT_TEXT } from '../../src/formats/gpx/waypoint-addition.ts';

/**
 * Returns the XML Schema of our namespace, generated from the field registry.
 *
 * Fields of the user's plugins are allowed but not described: their elements get lax validation.
 */
export function schemaText(): string {
  const fields: Readonly<Record<string, FieldDefinition>> = FIELDS;
  const elements = Object.entries(fields).map(([name, definition]) => elementText(name, definition));
  return `<?xml version="1.0" encoding="UTF-8"?>
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns="${NAMESPACE}" targetNamespace="${NAMESPACE}" elementFormDefault="qualified">
  <xs:element name="waypoint">
    <xs:annotation><xs:documentation>What was found about a waypoint. "made" names what an earlier run added around it.</xs:documentation></xs:annotation>
    <xs:complexType>
      <xs:sequence>
        <xs:any namespace="##targetNamespace" processContents="lax" minOccurs="0" maxOccurs="unbounded"/>
      </xs:sequence>
      <xs:attribute name="made" type="xs:NMTOKENS"/>
    </xs:complexType>
  </xs:element>
  <xs:element name="boat">
    <xs:annotation><xs:documentation>Marks a boat position: its waypoint, its side, and the name and place it was written with.</xs:documentation></xs:annotation>
    <xs:complexType>
      <xs:sequence>
        <xs:any namespace="##targetNamespace" processContents="lax" minOccurs="0" maxOccurs="unbounded"/>
      </xs:sequence>
      <xs:attribute name="of" type="xs:string" use="required"/>
      <xs:attribute name="side" type="xs:string" use="required"/>
      <xs:attribute name="name" type="xs:string" use="required"/>
      <xs:attribute name="lat" type="xs:decimal" use="required"/>
      <xs:attribute name="lon" type="xs:decimal" use="required"/>
    </xs:complexType>
  </xs:element>
  <xs:element name="name">
    <xs:annotation><xs:documentation>The name the user gave, when "as" is shown in its place.</xs:documentation></xs:annotation>
    <xs:complexType>
      <xs:simpleContent>
        <xs:extension base="xs:string">
          <xs:attribute name="as" type="xs:string" use="required"/>
        </xs:extension>
      </xs:simpleContent>
    </xs:complexType>
  </xs:element>
  <xs:element name="notes" type="xs:string">
    <xs:annotation><xs:documentation>Codes of the messages about the waypoint, separated by semicolons.</xs:documentation></xs:annotation>
  </xs:element>
${elements.join('\n')}
</xs:schema>
`;
}

function elementText(name: string, { type, unit, words, help }: FieldDefinition): string {
  const note = `<xs:annotation><xs:documentation>${escapeText(help)}</xs:documentation></xs:annotation>`;
  if (type === 'number') {
    return `  <xs:element name="${name}">
    ${note}
    <xs:complexType>
      <xs:simpleContent>
        <xs:extension base="xs:decimal">
          <xs:attribute name="unit" type="xs:string" fixed="${UNIT_TEXT[unit]}" use="required"/>
        </xs:extension>
      </xs:simpleContent>
    </xs:complexType>
  </xs:element>`;
  }
  if (type === 'word' && words !== undefined) {
    const values = words.map((word) => `        <xs:enumeration value="${escapeText(word)}"/>`).join('\n');
    return `  <xs:element name="${name}">
    ${note}
    <xs:simpleType>
      <xs:restriction base="xs:string">
${values}
      </xs:restriction>
    </xs:simpleType>
  </xs:element>`;
  }
  return `  <xs:element name="${name}" type="xs:string">
    ${note}
  </xs:element>`;
}

const escapeText = (text: string): string => escapeXml(text, 'utf-8');
