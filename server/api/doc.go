// Package api is what programs say to Wetside and what they are told, as
// openapi.yaml describes it: the types, and one method for each operation.
// Everything but this file is generated from that description; what the
// methods do is written in package server.
package api

import _ "embed"

//go:generate go tool -modfile=../../.tools/go.mod oapi-codegen -config config.yaml openapi.yaml

// Description is openapi.yaml, as the server sends it.
//
//go:embed openapi.yaml
var Description []byte
