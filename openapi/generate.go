package openapi

// The document comes first: what follows is made from it.
//go:generate go run ./gen
//go:generate go tool -modfile=../.ci/oapi-codegen.mod oapi-codegen -config ../client/oapi-codegen.yaml openapi.json
