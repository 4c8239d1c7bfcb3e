package main

import (
	"cmp"
	"fmt"
	"html/template"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// typeView is a type in words, with what it refers to.
type typeView struct {
	Before, Link, After string // "list of ", "Finding", ""
	Unit                string
	Bounds              []string
}

// member is one row of a table of members or of parameters.
type member struct {
	ID, Name, Where string
	Required        bool
	Type            typeView
	Description     template.HTML
	Allowed         []allowedValue
	Grows           bool
}

type allowedValue struct{ Value, Meaning string }

// schemaView is one schema, once.
type schemaView struct {
	ID, Name    string
	Description template.HTML
	Members     []member
	Type        typeView
	OneOf       []string
	UsedBy      []string
}

func schemaID(name string) string { return "schema-" + name }

func (b *refBuilder) schema(name string) schemaView {
	s := b.doc.Components.Schemas[name]
	return schemaView{
		ID: schemaID(name), Name: name, Description: b.md(s.Description), Members: b.members(name, s),
		Type: b.typeOf(s), OneOf: refNames(s.OneOf),
	}
}

func refNames(list []refSchema) []string {
	var names []string
	for _, s := range list {
		names = append(names, lastOf(s.Ref))
	}
	return names
}

// members lists what is required first, then the rest, each by name.
func (b *refBuilder) members(schema string, s refSchema) []member {
	closed := s.Closed != nil && !*s.Closed
	names := slices.SortedFunc(maps.Keys(s.Properties), func(x, y string) int {
		return cmp.Or(-cmp.Compare(rank(slices.Contains(s.Required, x)), rank(slices.Contains(s.Required, y))), strings.Compare(x, y))
	})
	var list []member
	for _, name := range names {
		p := s.Properties[name]
		m := member{
			ID: schemaID(schema) + "." + name, Name: name, Required: slices.Contains(s.Required, name),
			Type: b.typeOf(p), Description: b.md(p.Description),
		}
		if target := b.target(p); closed && target != "" {
			m.Allowed = b.allowedOf(target)
		} else {
			m.Allowed, m.Grows = known(p)
		}
		list = append(list, m)
	}
	return list
}

func rank(first bool) int {
	if first {
		return 1
	}
	return 0
}

// target names the schema that a member refers to, itself or in its entries.
func (b *refBuilder) target(s refSchema) string {
	switch {
	case s.Ref != "":
		return lastOf(s.Ref)
	case len(s.AllOf) == 1:
		return b.target(s.AllOf[0])
	case s.Items != nil:
		return b.target(*s.Items)
	}
	return ""
}

func (b *refBuilder) allowedOf(name string) []allowedValue {
	s := b.doc.Components.Schemas[name]
	means := map[string]string{}
	for _, m := range regexp.MustCompile("(?m)^- `([^`]+)`: (.+)$").FindAllStringSubmatch(s.Description, -1) {
		means[m[1]] = m[2]
	}
	var list []allowedValue
	for _, v := range s.Enum {
		list = append(list, allowedValue{v, means[v]})
	}
	return list
}

// known lists the values that a string has, without meanings of their own.
func known(s refSchema) (list []allowedValue, grows bool) {
	const most = 12
	if len(s.Known) <= most {
		for _, v := range append(slices.Clone(s.Enum), s.Known...) {
			list = append(list, allowedValue{Value: v})
		}
	}
	return list, len(s.Known) > 0
}

// typeOf says what type a schema has.
func (b *refBuilder) typeOf(s refSchema) typeView {
	switch {
	case s.Ref != "":
		return typeView{Link: lastOf(s.Ref)}
	case len(s.AllOf) == 1:
		return b.typeOf(s.AllOf[0])
	case s.Items != nil:
		t := b.typeOf(*s.Items)
		t.Before = strings.TrimSpace("list of " + plural(t.Before))
		if t.Link != "" {
			t.Before += " "
		}
		for i := range t.Bounds {
			t.Bounds[i] = "each " + t.Bounds[i]
		}
		t.Bounds = append(countBounds(s.MinItems, s.MaxItems, "entry", "entries"), t.Bounds...)
		if s.UniqueItems {
			t.Bounds = append(t.Bounds, "no entry twice")
		}
		return t
	}
	t := typeView{Before: s.Type, Unit: s.Unit, Bounds: numberBounds(s)}
	if s.Type == "" && len(s.OneOf) > 0 {
		t.Before = "one of"
	}
	if s.Type == "string" {
		if len(s.Enum) == 0 {
			t.Bounds = append(t.Bounds, countBounds(s.MinLength, s.MaxLength, "character", "characters")...)
		}
		switch s.Format {
		case "date":
			t.Before, t.Bounds = "date", nil
		case "json-pointer":
			t.Before = "JSON Pointer"
		case "uri-reference":
			t.Before = "URI reference"
		}
	}
	if s.Pattern != "" {
		t.Bounds = append(t.Bounds, "pattern "+s.Pattern)
	}
	return t
}

func plural(word string) string {
	if word == "" {
		return ""
	}
	return word + "s"
}

func numberBounds(s refSchema) []string {
	switch {
	case s.Minimum != nil && s.Maximum != nil:
		return []string{s.Minimum.String() + " to " + s.Maximum.String()}
	case s.Minimum != nil:
		return []string{"at least " + s.Minimum.String()}
	case s.Maximum != nil:
		return []string{"at most " + s.Maximum.String()}
	}
	return nil
}

func countBounds(least, most int, one, many string) []string {
	if most == 1 {
		many = one
	}
	switch {
	case least == most && most > 0:
		return []string{fmt.Sprintf("%d %s", most, many)}
	case least > 0 && most > 0:
		return []string{fmt.Sprintf("%d to %d %s", least, most, many)}
	case most > 0:
		return []string{fmt.Sprintf("at most %d %s", most, many)}
	case least > 0:
		return []string{fmt.Sprintf("at least %d %s", least, many)}
	}
	return nil
}
