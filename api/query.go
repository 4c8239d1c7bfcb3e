package api

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/service/spec"
)

// readQuery reads the query parameters of a request. The error is an
// *InvalidError that lists all that is wrong with them. An ungated operation
// looks at none: what asks for health puts on what it likes.
func readQuery(raw string, op *Operation) (map[string]string, error) {
	if raw == "" || op.Ungated {
		return nil, nil
	}
	var names []string // in the order in which they were first given
	values := map[string][]string{}
	var faults []spec.FieldError
	refuse := func(name, rule, detail string) {
		faults = append(faults, spec.FieldError{Parameter: spec.Clip(strings.ToValidUTF8(name, "�")), Rule: rule, Detail: detail})
	}
	for pair := range strings.SplitSeq(raw, "&") {
		if pair == "" {
			continue
		}
		rawName, rawValue, _ := strings.Cut(pair, "=")
		name, err1 := url.QueryUnescape(rawName)
		value, err2 := url.QueryUnescape(rawValue)
		if err1 != nil || err2 != nil {
			refuse(rawName, "escaping", fmt.Sprintf("%q is not a query parameter with its value; write a percent sign as %%25", spec.Clip(pair)))
			continue
		}
		if values[name] == nil {
			names = append(names, name)
		}
		values[name] = append(values[name], value)
	}
	query := make(map[string]string, len(names))
	for _, name := range names {
		given := values[name]
		i := slices.IndexFunc(op.Query, func(p Parameter) bool { return p.Name == name })
		switch {
		case i < 0:
			refuse(name, "unknown-parameter", unknownParameter(name, op.Query))
		case len(given) > 1:
			refuse(name, "repeated-parameter", fmt.Sprintf("the query parameter %s is given %d times; keep one", name, len(given)))
		case !slices.Contains(op.Query[i].Values, given[0]):
			refuse(name, "enum", spec.NotOneOf("the query parameter "+name, given[0], op.Query[i].Values))
		default:
			query[name] = given[0]
		}
	}
	if len(faults) > mostFaults {
		faults = faults[:mostFaults]
	}
	if len(faults) > 0 {
		return nil, &InvalidError{Faults: faults}
	}
	return query, nil
}

func unknownParameter(name string, legal []Parameter) string {
	s := fmt.Sprintf("there is no query parameter %q here", spec.Clip(name))
	if len(legal) == 0 {
		return s + "; this operation takes none: leave it out"
	}
	names := make([]string, len(legal))
	for i, p := range legal {
		names[i] = p.Name
	}
	if n := spec.Nearest(name, names); n != "" {
		return s + fmt.Sprintf("; did you mean %q?", n)
	}
	return s + "; there is " + strings.Join(names, ", ")
}
