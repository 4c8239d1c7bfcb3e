package main

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
)

// applyRules writes validator tags into a schema. A rule that it does not know
// is a panic, so that none goes undocumented. It returns the rules for the
// entries of a list.
func applyRules(s *openapi3.Schema, t reflect.Type, rules, at string) (forEntries string) {
	rules, forEntries, _ = strings.Cut(rules, ",dive,")
	rules = strings.TrimSuffix(rules, ",dive")
	for rule := range strings.SplitSeq(rules, ",") {
		name, value, _ := strings.Cut(rule, "=")
		kind := t.Kind()
		switch {
		case name == "" || name == "omitempty" || name == "required" || name == "enum":
			// Said by the list of required members and by the type.
		case isNumber(kind) && applyBound(s, name, value, at):
		case name == "max" && kind == reflect.String:
			s.MaxLength = openapi3.Ptr(count(value, at))
		case name == "len" && kind == reflect.String:
			s.MinLength, s.MaxLength = count(value, at), openapi3.Ptr(count(value, at))
		case name == "min" && kind == reflect.String:
			s.MinLength = count(value, at)
		case name == "max" && kind == reflect.Slice:
			s.MaxItems = openapi3.Ptr(count(value, at))
		case name == "min" && kind == reflect.Slice:
			s.MinItems = count(value, at)
		case rule == "unique" && kind == reflect.Slice:
			s.UniqueItems = true
		case rule == "datetime=2006-01-02":
			const length = uint64(len("2006-01-02"))
			s.Format, s.MinLength, s.MaxLength = "date", length, openapi3.Ptr(length)
		default:
			panic(fmt.Sprintf("openapi/gen: %s: the rule %q cannot be said in the document", at, rule))
		}
	}
	return forEntries
}

// applyBound reports whether the rule is a bound.
func applyBound(s *openapi3.Schema, name, value, at string) bool {
	var bound **float64
	switch name {
	case "gte":
		bound = &s.Min
	case "lte":
		bound = &s.Max
	case "gt":
		bound = &s.ExclusiveMin.Value
	case "lt":
		bound = &s.ExclusiveMax.Value
	default:
		return false
	}
	x, err := strconv.ParseFloat(value, 64)
	if err != nil {
		panic("openapi/gen: " + at + ": " + err.Error())
	}
	*bound = &x
	return true
}

func count(value, at string) uint64 {
	n, err := strconv.ParseUint(value, 10, 64)
	if err != nil {
		panic("openapi/gen: " + at + ": " + err.Error())
	}
	return n
}

func isNumber(k reflect.Kind) bool { return k == reflect.Int || k == reflect.Float64 }
