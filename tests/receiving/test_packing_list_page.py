"""Packing lists on the page: nothing is stored before it is confirmed."""

import pytest

from regrind.record.models import Batch, Line

from .test_packing_lists import FILES, HEAD, PLAIN, ROWS, csv


@pytest.mark.django_db
class TestOnThePage:
    @pytest.fixture
    def box(self, make_batch):
        return make_batch(number=417)

    def test_nothing_is_stored_before_it_is_saved(self, counter, box):
        page = counter.client.post("/receiving/417/list", {"text": PLAIN})
        assert [line.parsed.count for line in page.context["read"]] == [12, 6]
        assert "2 rows of tools read" in " ".join(page.content.decode().split())
        assert not Line.objects.exists()
        wording = "\n".join(page.context["packed"].words)
        answer = counter.client.post(
            "/receiving/417/lines",
            counter.fields_of(page) | {"wording": wording, "do": "save", "l0-family_choice": "new"},
        )
        assert answer.status_code == 302
        assert sorted(Line.objects.values_list("customer_tool_number", flat=True)) == ["BN-25", "EM-50"]

    def test_a_refusal_stands_beside_the_field_and_what_was_pasted_stays(self, counter, box):
        page = counter.client.post("/receiving/417/list", {"text": "Qty,Tool\nx,1/2 end mill\n3,1/4 ball"})
        assert page.status_code == 422
        assert "Row 2, column A holds “x”" in page.content.decode()
        assert "x,1/2 end mill" in page.content.decode()

    def test_a_file_is_read_and_one_of_the_two_is_needed(self, counter, box):
        with FILES.joinpath("openpyxl.xlsx").open("rb") as file:
            page = counter.client.post("/receiving/417/list", {"file": file})
        assert [line.parsed.count for line in page.context["read"]] == [12, 6, 8, 3]
        assert counter.client.post("/receiving/417/list", {}).status_code == 422
        with FILES.joinpath("openpyxl.xlsx").open("rb") as file:
            assert counter.client.post("/receiving/417/list", {"file": file, "text": PLAIN}).status_code == 422

    def test_rows_pasted_among_the_lines_are_noticed_and_read(self, counter, box):
        pasted = csv(HEAD, *ROWS, sep="\t")
        page = counter.read_back(box, pasted)
        assert "Read it as a packing list" in page.content.decode()
        page = counter.client.post("/receiving/417/lines", {"wording": pasted, "do": "list"})
        assert [line.parsed.count for line in page.context["read"]] == [12, 6]

    def test_the_same_list_twice_is_noticed(self, counter, box, make_batch):
        listed = csv(HEAD, *ROWS, [3, 4, "Rougher HSS", "R-1", 0.75, ""])
        page = counter.client.post("/receiving/417/list", {"text": listed})
        assert page.context["before"] == []
        choices = {f"l{n}-family_choice": "new" for n in range(3)}
        fields = counter.fields_of(page) | {"wording": "\n".join(page.context["packed"].words), "do": "save"} | choices
        assert counter.client.post("/receiving/417/lines", fields).status_code == 302
        again = counter.client.post(f"/receiving/{make_batch().number}/list", {"text": listed})
        assert again.context["before"] == [Batch.objects.get(number=417)]
        assert "The same lines were logged before" in again.content.decode()
