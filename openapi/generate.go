package openapi

// The document comes first: what follows is made from it.
//go:generate go run ./gen
