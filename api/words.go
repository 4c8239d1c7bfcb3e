package api

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/wattkeel/wattkeel/service/spec"
)

// nameOf is what a person calls the place that a pointer points to: the last
// name in it, with the numbers of list entries that follow.
func nameOf(p jsontext.Pointer) string {
	var entries []string
	for p != "" {
		last := p.LastToken()
		if _, err := strconv.Atoi(last); err != nil {
			return spec.Clip(last) + strings.Join(entries, "")
		}
		entries = append([]string{"[" + last + "]"}, entries...)
		p = p.Parent()
	}
	return "the body" + strings.Join(entries, "")
}

// wrongType says that a value is of another type than the field takes.
func wrongType(p jsontext.Pointer, s *shape, got jsontext.Kind, v jsontext.Value) string {
	name := nameOf(p)
	switch got {
	case '{':
		return name + " is an object; " + wanted(name, s)
	case '[':
		if s.form == object || s.form == mapping {
			return name + " is a list; write an object in braces, without the square brackets"
		}
		return name + " is a list; " + wanted(name, s) + ", without the square brackets"
	case '"':
		return fmt.Sprintf("%s is the string %q; %s", name, spec.Clip(unquote(v)), insteadOfString(name, unquote(v), s, v))
	}
	plain := spec.Clip(string(v))
	switch {
	case s.form == listing && accepts(s.elem, got):
		return fmt.Sprintf("%s is %s; write a list, even of one: [%s]", name, plain, plain)
	case s.form == text && s.words == nil && got == '0' && s.typ != reflect.TypeFor[spec.Date]():
		return fmt.Sprintf("%s is the number %s; put it in quotes: \"%s\"", name, plain, plain)
	case s.form == truth && (plain == "0" || plain == "1"):
		return fmt.Sprintf("%s is %s; write %t", name, plain, plain == "1")
	}
	return fmt.Sprintf("%s is %s; %s", name, plain, wanted(name, s))
}

// insteadOfString says what to write where a string stands but should not.
func insteadOfString(name, content string, s *shape, v jsontext.Value) string {
	trimmed := strings.TrimSpace(content)
	switch {
	case s.form == listing && accepts(s.elem, '"'):
		return "write a list, even of one: [" + spec.Clip(string(v)) + "]"
	case s.form == truth && (trimmed == "true" || trimmed == "false"),
		s.form == number && isNumber(trimmed),
		s.form == whole && isWhole(trimmed):
		return "remove the quotes: " + trimmed
	case s.form == number && isNumber(strings.Replace(trimmed, ",", ".", 1)):
		return "write a number with a decimal point and without quotes: " + strings.Replace(trimmed, ",", ".", 1)
	}
	switch {
	case s.form == number && unitOf(name) != "":
		return wanted(name, s) + ", without quotes and without the unit"
	case s.form == number || s.form == truth:
		return wanted(name, s) + ", without quotes"
	}
	return wanted(name, s)
}

// wanted says what to write in a field.
func wanted(name string, s *shape) string {
	switch s.form {
	case object, mapping:
		return "write an object in braces"
	case listing:
		return "write a list in square brackets"
	case whole:
		return "write a whole number, for example 3"
	case number:
		if unit := unitOf(name); unit != "" {
			return "write a number (" + unit + ")"
		}
		return "write a number"
	case text:
		if len(s.words) > 0 {
			return "write one of " + strings.Join(s.words, ", ") + ", in quotes"
		}
		if s.typ == reflect.TypeFor[spec.Date]() {
			return `write a date in quotes, for example "2025-03-01"`
		}
		return "write a text in quotes"
	case truth:
		return "write true or false"
	}
	return "write a value of another type"
}

// unitOf names the unit of a field or of an entry of a list.
func unitOf(name string) string {
	base, _, _ := strings.Cut(name, "[")
	return spec.UnitOf(base)
}

// nullValue says what to do about a null.
func nullValue(p jsontext.Pointer, s *shape, required bool) string {
	name := nameOf(p)
	if required {
		return name + " is null, which is not a value here; " + wanted(name, s)
	}
	return name + " is null, which is not a value here; leave the field out"
}

// emptyWord says what to do about an empty text where one of a few words or a
// date goes.
func emptyWord(p jsontext.Pointer, s *shape, required bool) string {
	text := nameOf(p) + " is empty; write one of " + strings.Join(s.words, ", ")
	if s.date {
		text = nameOf(p) + " is empty; write a date as YYYY-MM-DD"
	}
	if required {
		return text
	}
	return text + ", or leave the field out"
}

func tooLong(p jsontext.Pointer, n, most int) string {
	return fmt.Sprintf("%s has %d entries; give at most %d", nameOf(p), n, most)
}

// unknownField says where a field belongs that is not one of parent's, or
// which was meant, or which there are.
func unknownField(parent, name, near string, names, homes []string) string {
	const few = 12
	intro := fmt.Sprintf("%q is not a field of %s", spec.Clip(name), parent)
	switch {
	case len(homes) > 0:
		return intro + "; it belongs in " + strings.Join(homes[:min(len(homes), 3)], " or ")
	case near != "":
		return intro + fmt.Sprintf("; did you mean %q?", near)
	case len(names) <= few:
		return intro + ", which has " + strings.Join(names, ", ")
	}
	return intro + "; leave it out"
}

// accepts says whether a value of the kind can stand where the shape is wanted.
func accepts(s *shape, k jsontext.Kind) bool {
	switch k {
	case '"':
		return s.form == text
	case '0':
		return s.form == number || s.form == whole
	case 't', 'f':
		return s.form == truth
	}
	return false
}

func unquote(v jsontext.Value) string {
	b, err := jsontext.AppendUnquote(nil, v)
	if err != nil {
		return string(v)
	}
	return string(b)
}
