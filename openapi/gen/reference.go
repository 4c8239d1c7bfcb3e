package main

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"html/template"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/wattkeel/wattkeel/api"
)

//go:embed reference.html.tmpl
var referencePage string

// refView is the whole reference, in the order in which it is read.
type refView struct {
	Title, Summary, Version string
	Intro                   template.HTML
	Start                   startView
	Sections                []sectionView
	Groups                  []groupView
	Parts                   []partView
	Headers                 []member
	Kinds                   []kindView
}

type startView struct {
	Operation, Summary, Curl, Answer string
}

type sectionView struct {
	ID, Title string
	Text      template.HTML
}

type groupView struct {
	ID, Title   string
	Description template.HTML
	Operations  []operationView
}

type operationView struct {
	ID, Method, Path, Summary string
	Description               template.HTML
	Parameters                []member
	Request                   *schemaView
	RequestText               template.HTML
	Examples, Failures        []exampleView
	Answers                   []answerView
}

type exampleView struct {
	ID, Summary, Status, Curl, Answer string
	Draining                          bool
	Cuts                              []cut
}

type answerView struct {
	Status, Schema string
	Forms          []formView
	Text           template.HTML
	Kinds          []api.Kind
	Headers        []string
}

// formView is a form of an answer beside JSON.
type formView struct {
	Media string
	Text  template.HTML
}

type kindView struct {
	api.Kind
	ID string
}

type partView struct {
	ID, Title, Text string
	Schemas         []schemaView
}

// refBuilder makes the view. It keeps the faults of descriptions, so that the
// building reads as a list of what there is.
type refBuilder struct {
	doc    *refDocument
	faults []error
}

func (b *refBuilder) md(text string) template.HTML {
	out, err := markdown(text)
	b.note(err)
	return out
}

func (b *refBuilder) note(err error) {
	if err != nil {
		b.faults = append(b.faults, err)
	}
}

// reference is the document as a page to read, without scripts.
func reference(document []byte) ([]byte, error) {
	doc, err := readDocument(document)
	if err != nil {
		return nil, err
	}
	b := &refBuilder{doc: doc}
	view := b.view()
	if len(b.faults) > 0 {
		return nil, errors.Join(b.faults...)
	}
	page, err := template.New("reference").Funcs(template.FuncMap{
		"schemaID": schemaID, "headerID": headerID, "kindID": kindID, "dict": dict,
	}).Parse(referencePage)
	if err != nil {
		return nil, fmt.Errorf("read the template of the reference: %w", err)
	}
	var out bytes.Buffer
	if err := page.Execute(&out, view); err != nil {
		return nil, fmt.Errorf("write the reference: %w", err)
	}
	return regexp.MustCompile(`[ \t]*\n(?:[ \t]*\n)+`).ReplaceAll(out.Bytes(), []byte("\n")), nil
}

func (b *refBuilder) view() refView {
	d := b.doc
	v := refView{Title: d.Info.Title, Summary: d.Info.Summary, Version: d.Info.Version}
	intro, list := sections(d.Info.Description)
	v.Intro = b.md(intro)
	for _, s := range list {
		v.Sections = append(v.Sections, sectionView{s.ID, s.Title, b.md(s.Text)})
	}
	requests := map[string]bool{}
	for _, t := range d.Tags {
		g := groupView{ID: "group-" + t.Name, Title: strings.ToUpper(t.Name[:1]) + t.Name[1:], Description: b.md(t.Description)}
		for _, path := range slices.Sorted(maps.Keys(d.Paths)) {
			for method, op := range d.Paths[path] {
				if slices.Contains(op.Tags, t.Name) {
					o := b.operation(method, path, op)
					if o.Request != nil {
						requests[o.Request.Name] = true
					}
					g.Operations = append(g.Operations, o)
				}
			}
		}
		v.Groups = append(v.Groups, g)
	}
	v.Start = b.start()
	v.Parts = b.parts(requests)
	for _, name := range slices.Sorted(maps.Keys(d.Components.Headers)) {
		h := d.Components.Headers[name]
		v.Headers = append(v.Headers, member{ID: headerID(name), Name: name, Type: b.typeOf(h.Schema), Description: b.md(h.Description)})
	}
	for _, k := range api.Kinds() {
		v.Kinds = append(v.Kinds, kindView{k, kindID(k.Slug)})
	}
	return v
}

// dict gives a template that is called more than one value.
func dict(pairs ...any) map[any]any {
	m := map[any]any{}
	for i := 0; i+1 < len(pairs); i += 2 {
		m[pairs[i]] = pairs[i+1]
	}
	return m
}

func headerID(name string) string { return "header-" + strings.ToLower(name) }

func kindID(slug string) string { return "problem-" + slug }

func (b *refBuilder) operation(method, path string, op refOperation) operationView {
	v := operationView{
		ID: op.ID, Method: strings.ToUpper(method), Path: path, Summary: op.Summary, Description: b.md(op.Description),
	}
	for _, p := range op.Parameters {
		p = b.doc.parameter(p)
		m := member{ID: op.ID + "." + p.Name, Name: p.Name, Where: p.In, Required: p.Required, Type: b.typeOf(p.Schema), Description: b.md(p.Description)}
		m.Allowed, m.Grows = known(p.Schema)
		v.Parameters = append(v.Parameters, m)
	}
	if op.RequestBody != nil {
		s := b.schema(lastOf(op.RequestBody.Content["application/json"].Schema.Ref))
		v.Request, v.RequestText = &s, b.md(op.RequestBody.Description)
	}
	for _, status := range slices.Sorted(maps.Keys(op.Responses)) {
		r := b.doc.response(op.Responses[status])
		a := answerView{Status: status, Text: b.md(r.Description), Headers: slices.Sorted(maps.Keys(r.Headers))}
		for _, k := range api.Kinds() {
			if strings.Contains(r.Description, "(`"+k.Slug+"`)") {
				a.Kinds = append(a.Kinds, k)
			}
		}
		for _, media := range slices.Sorted(maps.Keys(r.Content)) {
			c := r.Content[media]
			if c.Schema.Ref != "" {
				a.Schema = lastOf(c.Schema.Ref)
			} else {
				a.Forms = append(a.Forms, formView{media, b.md(c.Schema.Description)})
			}
			for _, name := range slices.SortedFunc(maps.Keys(c.Examples), b.calmFirst(c.Examples)) {
				e := b.example(op.ID+"-"+status+"-"+name, status, c.Examples[name])
				if status == "200" {
					v.Examples = append(v.Examples, e)
				} else {
					v.Failures = append(v.Failures, e)
				}
			}
		}
		v.Answers = append(v.Answers, a)
	}
	return v
}

// parts sorts the schemas by what they are for. A whole request stands with
// its operation.
func (b *refBuilder) parts(requests map[string]bool) []partView {
	parts := []partView{
		{ID: "request-parts", Title: "Parts of requests", Text: "A request is closed: a member that is not listed is refused."},
		{ID: "answers", Title: "Answers and their parts", Text: "An answer is open: ignore members that are not listed."},
		{ID: "values", Title: "Values", Text: "Lists of words, and values of more than one type."},
	}
	for _, name := range slices.Sorted(maps.Keys(b.doc.Components.Schemas)) {
		s, i := b.doc.Components.Schemas[name], 2
		switch {
		case requests[name]:
			continue
		case s.Type == "object" && s.Closed != nil && !*s.Closed:
			i = 0
		case s.Type == "object":
			i = 1
		}
		parts[i].Schemas = append(parts[i].Schemas, b.schema(name))
	}
	return parts
}
