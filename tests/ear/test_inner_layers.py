"""The encoder gives the states of its inner layers as well, and its last ones are what the untouched file gives."""

from itertools import pairwise

import numpy as np
import onnxruntime
import pytest

from companion.ear.inner_layers import giving
from companion.ear.models import EMBEDDED, require
from companion.ear.network import Network


@pytest.mark.speech
def test_inner_layers_come_beside_unchanged_last_states() -> None:
    folder = require(EMBEDDED)
    sound = np.random.default_rng(3).normal(0, 0.1, 16_000).astype(np.float32)
    untouched = onnxruntime.InferenceSession(str(folder / "encoder_model.ort"))
    feed = {"input_values": sound[None], "attention_mask": np.ones((1, len(sound)), np.int64)}
    expected = untouched.run(["last_hidden_state"], feed)[0]

    last, layers = Network(folder).listen(sound)

    assert np.array_equal(last, expected)
    assert layers.shape == (last.shape[1], 5 * last.shape[2])
    assert np.array_equal(layers[:, : last.shape[2]], last[0])
    inner = np.split(layers, 5, axis=1)[1:]
    assert all(not np.allclose(one, other) for one, other in pairwise(inner))


def test_a_value_that_the_network_does_not_know_is_refused() -> None:
    file = (require(EMBEDDED) / "encoder_model.ort").read_bytes()
    with pytest.raises(Exception, match="no_such_layer"):
        onnxruntime.InferenceSession(giving(file, ["no_such_layer"]))
