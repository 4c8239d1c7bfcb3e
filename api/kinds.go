package api

import "net/http"

// Kind is one kind of problem: what the type member of a Problem refers to.
type Kind struct {
	// Slug is the last segment of the type.
	Slug string
	// Title names the kind in a few words.
	Title string
	// Status is the HTTP status it is answered with.
	Status int
	// Meaning says what it means and what to do about it.
	Meaning string
}

const (
	kindMalformed     = "malformed-json"
	kindUnreadable    = "unreadable-body"
	kindNotFound      = "not-found"
	kindMethod        = "method-not-allowed"
	kindNotAcceptable = "not-acceptable"
	kindSlow          = "body-too-slow"
	kindTooLarge      = "body-too-large"
	kindMediaType     = "unsupported-media-type"
	kindInvalid       = "invalid-document"
	kindInternal      = "internal-error"
	kindOverloaded    = "overloaded"
	kindStopping      = "stopping"
)

// Kinds lists every kind of problem that the service answers with.
func Kinds() []Kind {
	return []Kind{
		{kindMalformed, "The body is not I-JSON", http.StatusBadRequest, "The body cannot be read as JSON that every reader understands alike (RFC 7493): a syntax error, a name given twice in one object, something after the end, text that is not UTF-8, a number beyond the range of a double, or nesting deeper than 16 levels. Correct the place that the pointer and the words name."},
		{kindUnreadable, "The body could not be read", http.StatusBadRequest, "The body ended before it was complete, or its transfer coding is broken. Send the request again."},
		{kindNotFound, "There is nothing here", http.StatusNotFound, "No operation has this path, or the catalog has no entry of this name. The detail names the nearest one there is."},
		{kindMethod, "The method is not allowed here", http.StatusMethodNotAllowed, "The path exists but does not answer this method. The Allow header lists those it answers."},
		{kindNotAcceptable, "No acceptable form of the answer", http.StatusNotAcceptable, "The Accept header rules out every form in which this operation answers. The detail lists the forms."},
		{kindSlow, "The body did not arrive in time", http.StatusRequestTimeout, "The body was sent too slowly. Send the request again over a faster connection."},
		{kindTooLarge, "The body is too large", http.StatusRequestEntityTooLarge, "The body is larger than the limit that the detail names. Send less at once."},
		{kindMediaType, "The body is of an unsupported type", http.StatusUnsupportedMediaType, "A body is read only as application/json in UTF-8 and without a content coding. Set Content-Type accordingly and leave Content-Encoding out."},
		{kindInvalid, "The request is not valid", http.StatusUnprocessableEntity, "The body is JSON, but a field is unknown, missing, of the wrong type or out of range, or two fields contradict each other; or a query parameter is unknown, repeated or has a value that is not legal. Each fault is listed with its place, the value received and what to write instead."},
		{kindInternal, "The service failed", http.StatusInternalServerError, "A fault of the service, not of the request. It has been logged under the request id that instance holds; report it with that id."},
		{kindOverloaded, "The service is overloaded", http.StatusServiceUnavailable, "More requests arrived than can be worked on at once. Nothing was done; try again after the time in Retry-After."},
		{kindStopping, "The service is stopping", http.StatusServiceUnavailable, "This instance has been told to stop and wants no further requests. Send them to another instance."},
	}
}

// Type is the URI reference by which a Problem refers to the kind.
func (k Kind) Type() string { return "/problems/" + k.Slug }

// kindOf finds a kind by its slug, one of the constants above.
func kindOf(slug string) Kind {
	var internal Kind
	for _, k := range Kinds() {
		switch k.Slug {
		case slug:
			return k
		case kindInternal:
			internal = k
		}
	}
	return internal
}

// KindPage explains one kind of problem.
type KindPage struct {
	// Type is the type member of the problems of this kind.
	Type string `json:"type" validate:"max=128" format:"uri-reference"`
	// Title names the kind in a few words.
	Title string `json:"title" validate:"max=100"`
	// Status is the HTTP status it is answered with, 400 to 599.
	Status int `json:"status" validate:"gte=400,lte=599" unit:"HTTP status"`
	// Meaning says what it means and what to do about it.
	Meaning string `json:"meaning" validate:"max=2000"`
}

func findKind(slug string) (KindPage, bool, []string) {
	for _, k := range Kinds() {
		if k.Slug == slug {
			return KindPage{Type: k.Type(), Title: k.Title, Status: k.Status, Meaning: k.Meaning}, true, nil
		}
	}
	return KindPage{}, false, kindSlugs()
}

func kindSlugs() []string {
	var slugs []string
	for _, k := range Kinds() {
		slugs = append(slugs, k.Slug)
	}
	return slugs
}
