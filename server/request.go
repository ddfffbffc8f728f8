package server

import (
	"bytes"
	"context"
	"errors"

	"google.golang.org/protobuf/proto"

	"heirpress/server/access"
	"heirpress/server/record"
	"heirpress/server/store"
)

// A creation is a request that may carry a request_id.
type creation interface {
	proto.Message
	GetRequestId() string
}

// An outcome is an answer that carries its change number.
type outcome interface {
	proto.Message
	GetChange() uint64
}

// once runs a creation in a transaction, at most once for its request_id: a
// repeat gets the first answer, which was kept in the transaction of its effect.
func once[A outcome](ctx context.Context, s store.Store, asked creation, into A, do func(store.Tx) (A, error)) (A, error) {
	answer := into
	err := s.Write(ctx, func(tx store.Tx) error {
		answer = into // not that of a run before this one
		repeated, err := recall(ctx, tx, asked, into)
		if repeated || err != nil {
			return err
		}
		if answer, err = do(tx); err != nil {
			return err
		}
		return remember(ctx, tx, asked, answer)
	})
	return answer, err
}

func recall(ctx context.Context, tx store.Tx, asked creation, into proto.Message) (bool, error) {
	if asked.GetRequestId() == "" {
		return false, nil
	}
	before, err := tx.Recall(ctx, answerID(ctx, asked))
	if errors.Is(err, store.ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if !bytes.Equal(before.Fingerprint, fingerprint(asked)) {
		p := invalid("request_id", "was used before with another request: give every new request an ID of its own")
		p.reason = ReasonReusedID
		return false, p
	}
	return true, proto.Unmarshal(before.Body, into)
}

func remember(ctx context.Context, tx store.Tx, asked creation, answer outcome) error {
	if asked.GetRequestId() == "" {
		return nil
	}
	body, err := record.Body(answer)
	if err != nil {
		return err
	}
	return tx.Remember(ctx, store.Answer{
		ID: answerID(ctx, asked), Fingerprint: fingerprint(asked), Body: body, Change: answer.GetChange(),
	})
}

// answerID is unique to a method, a request_id and a caller: nobody is answered
// what another was.
func answerID(ctx context.Context, asked creation) string {
	id := string(asked.ProtoReflect().Descriptor().Name()) + "/" + asked.GetRequestId()
	if account := access.From(ctx).Account; account != "" {
		id = account + "/" + id
	}
	return id
}
