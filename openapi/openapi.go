// Package openapi holds the OpenAPI document of the service. It is generated:
// generate.go says how.
package openapi

import _ "embed"

//go:embed openapi.json
var document []byte

// JSON is the document. It must not be changed.
func JSON() []byte { return document }
