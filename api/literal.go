package api

import (
	"bytes"
	"reflect"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// isDouble says whether a number is within the range of a double.
func isDouble(literal jsontext.Value) bool {
	const safe = 300 // digits: a number with fewer and without exponent is in range
	if len(literal) < safe && bytes.IndexByte(literal, 'e') < 0 && bytes.IndexByte(literal, 'E') < 0 {
		return true
	}
	_, err := strconv.ParseFloat(string(literal), 64)
	return err == nil
}

// isNumber says whether a text is a number as JSON writes it.
func isNumber(s string) bool {
	v := jsontext.Value(s)
	return v.Kind() == '0' && v.IsValid() && isDouble(v)
}

func isWhole(s string) bool {
	if !isNumber(s) {
		return false
	}
	_, fraction := wholeDigits(s)
	return !fraction
}

// wholeDigits writes a JSON number that is whole without point and exponent,
// or says that it has a fraction. A number that no integer type holds may come
// out with too few zeros, but never with few enough to fit one.
func wholeDigits(literal string) (digits string, fraction bool) {
	sign := ""
	if rest, negative := strings.CutPrefix(literal, "-"); negative {
		sign, literal = "-", rest
	}
	mantissa, exponent := literal, 0
	if i := strings.IndexAny(literal, "eE"); i >= 0 {
		mantissa = literal[:i]
		exponent = clampedInt(literal[i+1:])
	}
	before, after, _ := strings.Cut(mantissa, ".")
	exponent -= len(after)
	digits = strings.TrimLeft(before+after, "0")
	trimmed := strings.TrimRight(digits, "0")
	exponent += len(digits) - len(trimmed)
	switch {
	case trimmed == "":
		return "0", false
	case exponent < 0:
		return "", true
	}
	const beyondAnyInteger = 32
	return sign + trimmed + strings.Repeat("0", min(exponent, beyondAnyInteger)), false
}

// clampedInt reads an exponent. One with more digits than the longest body
// has is as good as any other.
func clampedInt(s string) int {
	const most = 1 << 40
	n, err := strconv.Atoi(s)
	switch {
	case err == nil:
		return max(-most, min(n, most))
	case strings.HasPrefix(s, "-"):
		return -most
	}
	return most
}

// fits says whether a whole number is within the range of an integer type.
func fits(t reflect.Type, digits string) bool {
	if t.Kind() >= reflect.Uint && t.Kind() <= reflect.Uint64 {
		n, err := strconv.ParseUint(digits, 10, 64)
		return err == nil && !reflect.Zero(t).OverflowUint(n)
	}
	n, err := strconv.ParseInt(digits, 10, 64)
	return err == nil && !reflect.Zero(t).OverflowInt(n)
}

// zero is a value that can stand in a list for an entry that was taken out.
func zero(f form) string {
	switch f {
	case object, mapping:
		return "{}"
	case listing:
		return "[]"
	case whole, number:
		return "0"
	case text:
		return `""`
	case truth:
		return "false"
	}
	return "null"
}
