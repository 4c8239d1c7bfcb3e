package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
)

// startOperation is the one that the reference begins with: the main job.
const startOperation = "createChargePlan"

func (b *refBuilder) example(id, status string, e refExample) exampleView {
	v := exampleView{ID: "example-" + id, Summary: e.Summary, Status: status, Draining: e.Request.Draining}
	var err error
	v.Curl, err = curl(e.Request, e.Value)
	b.note(err)
	answer := []byte(e.Value)
	if text, is := plain(answer); is {
		v.Answer = text
		return v
	}
	if len(answer) > longAnswer {
		answer, v.Cuts, err = shorten(answer, "")
		b.note(err)
	}
	v.Answer, err = layout(answer)
	b.note(err)
	return v
}

// plain is an answer that is not JSON, which the document holds as a text.
func plain(answer []byte) (text string, is bool) {
	return text, json.Unmarshal(answer, &text) == nil
}

// calmFirst orders examples by their verdict, so that what is usual comes
// before what is not.
func (b *refBuilder) calmFirst(examples map[string]refExample) func(x, y string) int {
	worth := func(name string) int {
		var answer struct{ Verdict string }
		if text, is := plain(examples[name].Value); is {
			verdict, _, _ := strings.Cut(text, ":")
			return slices.Index([]string{"CLEAR", "CAUTION", "STOP"}, verdict)
		}
		b.note(json.Unmarshal(examples[name].Value, &answer))
		return slices.Index([]string{"clear", "caution", "stop"}, answer.Verdict)
	}
	return func(x, y string) int {
		if d := worth(x) - worth(y); d != 0 {
			return d
		}
		return strings.Compare(x, y)
	}
}

// start is the first example of the main operation, with the beginning of its
// answer.
func (b *refBuilder) start() startView {
	for _, methods := range b.doc.Paths {
		op, has := methods[strings.ToLower(http.MethodPost)]
		if !has || op.ID != startOperation {
			continue
		}
		examples := op.Responses["200"].Content["application/json"].Examples
		first := slices.SortedFunc(maps.Keys(examples), b.calmFirst(examples))[0]
		e := examples[first]
		command, err := curl(e.Request, e.Value)
		b.note(err)
		answer, err := beginning(e.Value, "verdict", "settings")
		b.note(err)
		return startView{Operation: op.ID, Summary: e.Summary, Curl: command, Answer: answer}
	}
	b.note(fmt.Errorf("the operation %s, with which the reference begins, does not exist (%d paths)", startOperation, len(b.doc.Paths)))
	return startView{}
}

// beginning lays out the members of an answer that are named.
func beginning(answer []byte, named ...string) (string, error) {
	names, entries, err := parts(answer)
	if err != nil {
		return "", err
	}
	var kept []string
	for i, name := range names {
		if slices.Contains(named, strings.Trim(name, `"`)) {
			kept = append(kept, name+":"+string(entries[i]))
		}
	}
	return layout([]byte("{" + strings.Join(kept, ",") + "}"))
}
