package conform

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// alternatives are headers of which an answer has one: which, depends on what
// was wrong with the request.
func alternatives() []string { return []string{"Accept", "Accept-Encoding"} }

// judgeHeaders says which documented headers are missing or not as their
// schema says.
func (a *answer) judgeHeaders(x Exchange) []error {
	var errs []error
	some, either := false, false
	for _, name := range slices.Sorted(maps.Keys(a.headers)) {
		values := x.Header.Values(name)
		optional := slices.Contains(alternatives(), name)
		either = either || optional
		some = some || optional && len(values) > 0
		switch {
		case len(values) == 0 && optional:
		case len(values) != 1:
			errs = append(errs, fmt.Errorf("the header %s of %d of %s %s is there %d times", name, x.Status, x.Method, x.Path, len(values)))
		default:
			if err := a.headers[name].Validate(valueOf(a.headers[name], values[0])); err != nil {
				errs = append(errs, fmt.Errorf("the header %s is %q: %w", name, values[0], err))
			}
		}
	}
	if either && !some {
		errs = append(errs, fmt.Errorf("one of the headers %v is missing", alternatives()))
	}
	return errs
}

// valueOf reads a header as the type that its schema has.
func valueOf(s *jsonschema.Schema, text string) any {
	for s.Ref != nil {
		s = s.Ref
	}
	if s.Types != nil && slices.ContainsFunc(s.Types.ToStrings(), func(t string) bool { return t == "integer" || t == "number" }) {
		var n json.Number
		if json.Unmarshal([]byte(text), &n) == nil && n.String() == text {
			return n
		}
	}
	return text
}
