"""A little collection made for these tests alone: four shapes, every answer found by hand."""

TABLES = {
    "potteries": "pottery,name,source\nloam,Loam Pottery,cat\nsilt,Silt Works,cat2\n",
    "sources": "source,title,kind,date,complete,repeats\n"
    "cat,Loam ware,catalogue,1905,yes,\n"
    "cat2,Silt ware,catalogue,1907,yes,\n"
    "card,Loam price card,price-list,1906,no,\n"
    "half,Loam leaflet,catalogue,1909,yes,\n"
    "notes,Notes of a visitor,letter,1910,,\n",
    "shapes": "shape,pottery,name,rim,handle,finial,foot,lid_fit,source,locator\n"
    'ash,loam,Ash,"fluted, gilt edge",twig,acorn,round,inset,cat,p. 1\n'
    "beech,loam,Beech,fluted,loop,ring,,,cat,p. 2\n"
    "cane,loam,Cane,plain round,,,,,card,p. 1\n"
    "dock,silt,Dock,octagonal,square,cone,plinth,flush,cat2,p. 1\n",
    "flatware": "shape,with,source\nash,cane,notes\n",
    "treatments": "treatment,pottery,number,shape,source\n"
    "a11,loam,A-11,ash,cat\na12,loam,A-12,ash,cat\nb11,loam,B-11,beech,cat\nd11,silt,A-11,dock,cat2\n",
    "code_schemes": "scheme,pottery,codes,pattern,source\n"
    "numbers,loam,treatment-number,{line}-{run},notes\n",
    "code_parts": "scheme,part,value,means,thing,digits,source\n"
    "numbers,line,A,shape,shape/ash,,notes\nnumbers,line,B,shape,shape/beech,,notes\n"
    "numbers,run,,running-number,,digits,notes\n",
    "glazes": "glaze,pottery,name,shape,source\nmoss,loam,Moss,beech,cat\nfog,loam,Fog,,cat\n",
    "marks": "mark,pottery,wording,applied,names_shape,source\n"
    "m-ash,loam,LOAM / ASH,underglaze,ash,notes\n"
    "m-loam,loam,LOAM,impressed,,notes\n"
    "m-dock,silt,DOCK by Silt,overglaze,dock,notes\n"
    "m-silt,silt,SILT,impressed,,notes\n",
    "assortments": "catalogue,shape,form,trade_size,locator\n"
    "cat,ash,plate,8,p. 3\ncat,ash,teapot,30s,p. 4\ncard,ash,plate,7,p. 1\n"
    "cat,beech,plate,8,p. 5\ncat,beech,egg-cup,,p. 5\n"
    "cat2,dock,plate,9,p. 2\n",
    "articles": "shape,form,trade_size,produced,source\nbeech,vase,,no,notes\n",
    "pieces": "piece,pottery,shape,form,treatment,number_read,mark,glaze,features\n"
    "p1,loam,beech,sugar,b11,B-11,m-loam,fog,stilt marks\n"
    "p2,loam,beech,plate,,,m-ash,,\n",
}
