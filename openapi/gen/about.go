package main

// about is what holds for every operation.
const about = `
wattkeel says whether and how to charge a hobby battery pack: what to set on the charger, every limit that was considered, how long it takes and how sure that is, the steps at the bench, and what is wrong. It brings packs to storage charge, says how long they run a load and how long they may be left, reads their labels, and says whether they may travel. It computes; no answer is a row of a table.

**It is no substitute for the manuals.** The pack's and the charger's own instructions supersede every plan; so do local codes, and licensed practice where it applies. Somebody stays with every charge, awake. A plan is a prediction from published cells, not a measurement of yours.

## Units

A number's unit is the last part of its name, and ` + "`x-unit`" + ` spells it: ` + "`capacity_mah`" + ` is in milliampere hours, ` + "`end_voltage_v`" + ` in volts, ` + "`ambient_degc`" + ` in degrees Celsius. ` + "`_c_rate`" + ` is a multiple of the rated capacity per hour: 2 for a 2200 mAh pack is 4.4 A. Names without a unit are counts, such as ` + "`cells_series`" + `; ` + "`x-unit`" + ` says of what.

Numbers in answers are rounded to 9 significant digits, once, where the answer is put together. Currents to set are rounded down to the charger's step, time limits and charge cut-offs up. The bounds of a number in an answer are those that no answer passes; they are wide, and say nothing about what is usual.

## The same question, the same answer

An answer is a pure function of the request and of the ` + "`versions`" + ` it names: same request, same versions, same bytes. There is no clock, no chance and no memory; where a date matters the request carries ` + "`as_of`" + `. Nothing is stored, so that every request may be sent again, and there is no idempotency key because none is needed.

## Verdicts

A request that is understood, but whose answer is "do not", is answered 200 with verdict ` + "`stop`" + ` and without settings. An error answer says that the request could not be read or makes no sense.

## Forms

Answers are JSON. Where an operation lists another form, ` + "`Accept`" + ` chooses (RFC 9110, section 12.5.1): the highest quality wins, JSON among equals and without the header, and 406 (` + "`not-acceptable`" + `) is the answer where nothing that there is may be sent. ` + "`text/plain`" + ` is for people, at a terminal or in a chat: the verdict is its first word, and a stop has nothing to set in it. It is made from the same answer as the JSON, in UTF-8, in lines of at most 76 columns or one word; a program reads the JSON. Errors are problems, whatever is accepted.

## Errors

Every error is answered as ` + "`application/problem+json`" + ` (RFC 9457). Its ` + "`type`" + ` is a path on this server that explains the kind of problem; act on the type, and show the detail to a person. Faults of a request are listed in ` + "`errors`" + `, all at once: each has a JSON Pointer (RFC 6901) into the body or names the query parameter, and says what to write instead.

Beyond the errors that each operation lists, a path that does not exist is answered 404 (` + "`not-found`" + `), and a method that a path does not have 405 (` + "`method-not-allowed`" + `) with the methods it has in ` + "`Allow`" + `. A request that is not HTTP, or whose header is too long, is refused before it reaches the service, in plain text.

An unknown member of a body, a null and an unknown query parameter are refused, because a misspelled limit must not go unnoticed. Only ` + "`/livez`" + `, ` + "`/readyz`" + ` and this document ignore parameters.

## Growth

Changes within ` + "`/v1`" + ` only add: operations, members of answers, optional members of requests, optional parameters, values of the lists marked ` + "`x-may-grow`" + `. A new optional member left out leaves the answer as it was, but for its versions. Ignore members you do not know.

## Headers and caching

Give a request a name of your own with ` + "`X-Request-Id`" + `; it comes back in the answer and stands in ` + "`instance`" + ` of a problem. Plans and checks are answered with ` + "`Cache-Control: no-store`" + `; the catalogs and this document, at ` + "`/openapi.json`" + `, with a strong ` + "`ETag`" + ` and ` + "`no-cache`" + `: send it back as ` + "`If-None-Match`" + ` and be answered 304 while nothing has changed. What answers GET answers HEAD as well.
`
