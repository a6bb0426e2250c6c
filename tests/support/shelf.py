"""A small collection for tests, made of texts."""

from pathlib import Path

SETTINGS = 'title = "A shelf"\nbase = "https://example.org/shelf/"\n'

TABLES = {
    "sources": "source,title,kind,date,complete\n"
    "cat1908,Catalogue No. 4,catalogue,1908,yes\n"
    "cat1911,Catalogue No. 5,catalogue,1911,no\n"
    "letter,[Letter of a traveller],letter,1912-03,\n",
    "potteries": "pottery,name,begin,source,locator\nharrow,Harrow Pottery,1897~,cat1908,p. 1\n",
    "shapes": "shape,pottery,name,begin,end,source,locator,certainty\n"
    "alder,harrow,Alder,1908,,cat1908,p. 3,certain\n"
    "birch,harrow,Birch,1911,1920?,cat1911,p. 2,probable\n",
    "flatware": "shape,with,source,locator\nalder,birch,letter,second page\n",
    "treatments": "treatment,pottery,number,name,shape,source,locator,claim\n"
    "a12,harrow,A12,Blue Rim,alder,cat1908,p. 9,\n"
    "b7,harrow,B7,Gold Line,birch,cat1911,p. 8,b7-as-printed\n",
    "pieces": "piece,shape,form,treatment,number_read,features,image\n"
    'p1,alder,dinner plate,a12,A12,"chip, at rim|stacking marks",\n'
    "p2,birch,saucer,a12,A1?,,\n",
    "assortments": "catalogue,shape,form,trade_size,item,price,per,locator\n"
    "cat1908,alder,dinner plate,8,101,1.20,dozen,p. 3\n"
    "cat1908,alder,teapot,36s,,4.80,dozen,p. 4\n"
    "cat1911,birch,Dinner Plate,8,,1.50,dozen,p. 2\n",
}


def write(folder: Path, **tables: str) -> Path:
    """Write the collection, with some tables put in place of its own; an empty one is left out."""
    (folder / "tables").mkdir(parents=True)
    (folder / "collection.toml").write_text(SETTINGS, encoding="utf-8")
    for name, text in {**TABLES, **tables}.items():
        if text:
            (folder / "tables" / f"{name}.csv").write_text(text, encoding="utf-8")
    return folder
