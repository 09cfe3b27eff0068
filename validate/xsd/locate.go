package xsd

import (
	"net/url"
	"path/filepath"
	"strings"
)

// locate finds the file that a schema names, from the schema's own path. It is
// false for what is not on this machine.
func locate(from, location string) (path string, ok bool) {
	location = strings.TrimSpace(location)
	if filepath.VolumeName(location) != "" && !isNetwork(location) {
		return filepath.Clean(location), true
	}
	u, err := url.Parse(location)
	switch {
	case isNetwork(location):
		return "", false
	case err != nil:
		path = location
	case u.Scheme == "file" && (u.Host == "" || u.Host == "localhost"):
		path = u.Path
		if rest := strings.TrimPrefix(path, "/"); filepath.VolumeName(rest) != "" {
			path = rest
		}
	case u.Scheme != "" || u.Host != "":
		return "", false
	default:
		path = u.Path
	}
	path = filepath.FromSlash(path)
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(from), path)
	}
	return filepath.Clean(path), !isNetwork(path)
}

// isNetwork reports a path that names another machine.
func isNetwork(path string) bool {
	return strings.HasPrefix(path, "//") || strings.HasPrefix(path, `\\`)
}

// xmlPath stands for a schema of the namespace of XML itself, which schemas
// import by its address on the network.
const xmlPath = "xml.xsd (built in)"

// Source: W3C Extensible Markup Language (XML) 1.0, 2.10 and 2.12; XML Base;
// xml:id: the attributes of the namespace and what they hold.
const xmlSchema = `<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
  targetNamespace="http://www.w3.org/XML/1998/namespace">
  <xs:attribute name="lang">
    <xs:simpleType>
      <xs:union memberTypes="xs:language">
        <xs:simpleType><xs:restriction base="xs:string"><xs:enumeration value=""/></xs:restriction></xs:simpleType>
      </xs:union>
    </xs:simpleType>
  </xs:attribute>
  <xs:attribute name="space">
    <xs:simpleType>
      <xs:restriction base="xs:NCName">
        <xs:enumeration value="default"/>
        <xs:enumeration value="preserve"/>
      </xs:restriction>
    </xs:simpleType>
  </xs:attribute>
  <xs:attribute name="base" type="xs:anyURI"/>
  <xs:attribute name="id" type="xs:ID"/>
  <xs:attributeGroup name="specialAttrs">
    <xs:attribute ref="xml:base"/>
    <xs:attribute ref="xml:lang"/>
    <xs:attribute ref="xml:space"/>
    <xs:attribute ref="xml:id"/>
  </xs:attributeGroup>
</xs:schema>
`
