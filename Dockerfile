# The image holds the program and nothing else: no shell, no files to write, a
# user without a name. It runs with a read-only root as it is.

# A version tag, and no digest: pin the digest that your own registry shows.
FROM golang:1.26.8-bookworm AS build
WORKDIR /src
ENV CGO_ENABLED=0 GOTOOLCHAIN=local
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN go build -trimpath -buildvcs=false -ldflags="-s -w -buildid=" -o /out/wattkeel ./cmd/wattkeel

FROM scratch
COPY --from=build /out/wattkeel /wattkeel
USER 65534:65534
ENV WATTKEEL_LISTEN=0.0.0.0:8080
EXPOSE 8080
HEALTHCHECK --interval=10s --timeout=3s --start-period=5s CMD ["/wattkeel", "health"]
ENTRYPOINT ["/wattkeel"]
CMD ["serve"]
