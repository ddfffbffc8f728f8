package heirpressv1

// After a change of a .proto file, one command writes the Go again:
//
//	go generate ./proto/...

//go:generate sh -c "cd ../../.. && go tool -modfile=.ci/tools.mod buf format -w && go tool -modfile=.ci/tools.mod buf generate"
