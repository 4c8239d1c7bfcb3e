// Package spec declares the documents that callers write and read, once: their
// names, units, ranges and meaning. JSON, validation, the OpenAPI document and
// the client all follow from these declarations.
//
// Every number's field name ends in its unit. A field that may be left out is
// a pointer, because 0 °C, 0 % and 0 V are real values.
package spec
