"""The line-by-line mode: the same job and the same wording as lines of text, without drawing a screen."""

from __future__ import annotations

from wizard.plain.answers import Order, read_answer, read_order
from wizard.plain.lines import typed_lines
from wizard.plain.operator import PlainOperator
from wizard.plain.text import render
from wizard.plain.transcript import Transcript

__all__ = ["Order", "PlainOperator", "Transcript", "read_answer", "read_order", "render", "typed_lines"]
