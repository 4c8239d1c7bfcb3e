package api

import (
	"errors"
	"mime"
	"strconv"
	"strings"
)

// negotiate chooses among the forms of an answer by the Accept header (RFC
// 9110, section 12.5.1): the highest quality wins, and among equals the form
// that is listed first. Without a header the first is sent.
func negotiate(accept []string, forms []Representation) (*Representation, error) {
	header := strings.Join(accept, ",")
	if strings.TrimSpace(header) == "" || header == "*/*" || header == forms[0].MediaType {
		return &forms[0], nil
	}
	ranges := parseAccept(header)
	var best *Representation
	bestQ := 0.0
	for i := range forms {
		if q := quality(ranges, forms[i].MediaType); q > bestQ {
			best, bestQ = &forms[i], q
		}
	}
	if best == nil {
		e := &notAcceptableError{}
		for i := range forms {
			e.offered = append(e.offered, forms[i].MediaType)
		}
		return nil, e
	}
	return best, nil
}

// settle is the form of the answer to a request with these query parameters: that
// which was chosen, or, where one of them leaves JSON alone, that, if it is
// acceptable.
func settle(form *Representation, accept []string, op *Operation, query map[string]string) (*Representation, error) {
	for i := range op.Query {
		p := &op.Query[i]
		if _, given := query[p.Name]; !given || !p.JSONAlone || form.MediaType == mediaJSON {
			continue
		}
		only, err := negotiate(accept, []Representation{asJSON()})
		var refused *notAcceptableError
		if errors.As(err, &refused) {
			refused.parameter = p.Name
		}
		return only, err
	}
	return form, nil
}

// mediaRange is one element of an Accept header.
type mediaRange struct {
	media string // "text/html", "text/*" or "*/*"
	q     float64
}

// parseAccept leaves out elements that cannot be read, and those that ask for
// a parameter that no form has.
func parseAccept(header string) []mediaRange {
	var ranges []mediaRange
	for element := range strings.SplitSeq(header, ",") {
		media, params, err := mime.ParseMediaType(element)
		if err != nil || !strings.Contains(media, "/") {
			continue
		}
		q, readable := 1.0, true
		if value, given := params["q"]; given {
			q, readable = parseQ(value)
			delete(params, "q")
		}
		if strings.EqualFold(params["charset"], "utf-8") {
			delete(params, "charset")
		}
		if readable && len(params) == 0 {
			ranges = append(ranges, mediaRange{media, q})
		}
	}
	return ranges
}

// parseQ reads a quality value (RFC 9110, section 12.4.2).
func parseQ(s string) (float64, bool) {
	if len(s) > len("0.000") {
		return 0, false
	}
	q, err := strconv.ParseFloat(s, 64)
	return q, err == nil && q >= 0 && q <= 1
}

// quality is what the most specific of the ranges that match says about a
// media type, or 0 where none matches.
func quality(ranges []mediaRange, media string) float64 {
	kind, _, _ := strings.Cut(media, "/")
	q, specific := 0.0, 0
	for _, r := range ranges {
		s := 0
		switch r.media {
		case media:
			s = 3
		case kind + "/*":
			s = 2
		case "*/*":
			s = 1
		}
		if s > specific || (s > 0 && s == specific && r.q > q) {
			q, specific = r.q, s
		}
	}
	return q
}
